/**
 * The same engine in other air: what warm intake air and height take of the valve, from the same steady solves.
 *
 * What the model feels: air flows through valve and leak by p₀/√T₀ of the outside (thin or hot air brings less), and the
 * exhaust pushes against a lower pressure up there. What it does not: the gas in the manifold keeps its own temperature
 * (`engine.manifold.temperature`). Moved along by half of the intake air's change, the manifold takes a seventh to a sixth
 * off the correction on the shipped engines; knock and a sensor that sits in the warm are not in the model at all.
 */
import { interpolate } from '../numerics/curve.js';
import type { Curve } from '../parameter/table.js';
import { fromSI, toSI } from '../parameter/unit.js';
import { ambient } from '../plant/ambient.js';
import type { Scenario } from '../scenario/index.js';
import { clip, fine, say, sayAir, toNearest, unitName } from './apply.js';
import { type Bench, createBench } from './bench.js';
import { points } from './base.js';
import { COLD_C, HOT_C, WARM_INTAKE_NAME } from './drills.js';
import { atHeight, HEIGHT_M, inAir, WARM_INTAKE_C } from './other-air.js';
import type { SetupRow } from './result.js';

/** Intake air at which the correction is solved, °C; and how near the air of the base none of them is wanted. */
const INTAKE_C: readonly number[] = [-20, 20, 40, WARM_INTAKE_C];
const APART_C = 10;
/**
 * Intake-air correction: hot, what holds the target in intake air of another temperature, less what holds it in that of the
 * base. Nothing at the temperature that the base is solved for.
 */
export function intakeAirFor(scenario: Scenario, bench: Bench): { readonly curve: Curve; readonly row: SetupRow } {
  const { engine } = scenario;
  const { unit, full } = bench.range;
  if (engine.model !== 'mean-value') {
    const curve = scenario.controller.intakeAir;
    const why = 'kept as it is: this engine model has no air outside';
    return { curve, row: { key: 'controller.intakeAir', text: points(curve), unit: unitName(unit), why, brief: 'kept as the file says', provenBy: 'none', flag: null, tried: null } };
  }
  const baseC = toNearest(fromSI(ambient(engine.ambient).temperature, 'degC'), 0.1);
  const airIn = (intakeC: number, coolantC: number): number =>
    createBench(inAir(scenario, { temperature: toSI(intakeC, 'degC') })!).airAt(coolantC, interpolate(scenario.controller.targetRpm, coolantC));
  const more = (intakeC: number, coolantC: number): number => airIn(intakeC, coolantC) - airIn(baseC, coolantC);
  const x = [...INTAKE_C.filter((at) => Math.abs(at - baseC) >= APART_C), baseC].sort((a, b) => a - b);
  const most = full / 2;
  const curve = { x, y: x.map((at) => (at === baseC ? 0 : clip(toNearest(more(at, HOT_C), fine(unit)), -most, most))) };
  const hottest = WARM_INTAKE_C;
  return {
    curve,
    row: {
      key: 'controller.intakeAir', text: points(curve), unit: unitName(unit),
      why:
        `hot, settled command in intake air of each temperature less that at ${say(baseC)} °C, for which the base is solved: warm air is thin; ` +
        `at −20 °C of coolant ${say(hottest)} °C would take ${sayAir(more(hottest, COLD_C), unit)} more, which the loop makes up; ` +
        'the manifold is as warm as ever in the model, so the engine may want a little less',
      brief: 'hot, from steady solves in warm and cold air', provenBy: WARM_INTAKE_NAME, flag: null, tried: null,
    },
  };
}

/** What the base lacks at a height, in a sentence; and the most air that it needs there. */
export function heightFor(scenario: Scenario, bench: Bench): { readonly text: string; readonly coldest: number } | null {
  const up = atHeight(scenario, HEIGHT_M);
  if (up === null) return null;
  const there = createBench(up);
  const more = (coolantC: number): readonly [number, number] => {
    const rpm = interpolate(scenario.controller.targetRpm, coolantC);
    const air = there.airAt(coolantC, rpm);
    return [air, air - bench.airAt(coolantC, rpm)];
  };
  const { unit, full } = bench.range;
  const [[, hot], [coldest, cold]] = [more(HOT_C), more(COLD_C)];
  return {
    coldest,
    text:
      `at ${HEIGHT_M} m the engine needs ${sayAir(hot, unit)} more hot and ${sayAir(cold, unit)} more at ${say(COLD_C)} °C, which the loop makes up` +
      (coldest > full ? `, but cold it needs ${sayAir(coldest, unit, 4)} there and the valve ends at ${sayAir(full, unit)}` : ''),
  };
}
