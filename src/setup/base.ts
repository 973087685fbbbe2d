/** Target and base air against coolant. */
import { interpolate } from '../numerics/curve.js';
import type { Curve } from '../parameter/table.js';
import type { Scenario } from '../scenario/index.js';
import { clip, coarse, say, sayAir, toNearest, unitName, upTo } from './apply.js';
import type { Bench } from './bench.js';
import { HOT_C } from './drills.js';
import { HEIGHT_M } from './other-air.js';
import type { SetupRow } from './result.js';

/** Coolant of the points of a table, °C. The last is a hot engine with its thermostat open. */
export const COOLANTS_C: readonly number[] = [-20, 0, 20, 40, 60, 80, 100];

/** Points of a curve as they are typed in. */
export const points = ({ x, y }: Curve): string => x.map((at, i) => `${say(at)} °C: ${say(y[i]!, 4)}`).join(', ');

/**
 * How much faster than hot a cold engine idles, against coolant. Common practice, no source: cold oil and a rich, uneven
 * charge want speed, and a catalyst wants heat.
 */
const FASTER: Curve = { x: [-20, 20, 60, 80], y: [1.62, 1.37, 1.1, 1] };
const TARGETS_C = [-20, 0, 20, 40, 60, 80];
/** Share of the valve that a cold idle may take, so that loads can come on top. */
const MOST_OF_VALVE = 0.8;
/** Hot targets looked at, rpm; and the room above the stall that the hardest hit may leave, as a share of the target's. */
const HOT_TARGETS = { lowest: 600, highest: 1100, step: 25 };
const HIT_LEAVES = 0.5;

/**
 * Drop of speed before air has come to help, rpm: the load brakes the bare crank for as long as the air path lags.
 *
 * @param torque of the hardest hit, N·m  @param inertia kg m²  @param lagS s
 */
export const dropRpm = (torque: number, inertia: number, lagS: number): number => ((torque / inertia) * lagS * 30) / Math.PI;

/** Share of the room above the stall that a free-rev must leave by itself, the loop held open. Assumed. */
const REV_LEAVES = 0.3;

/**
 * A target table: hot, the lowest speed at which the hardest load, hitting unannounced, leaves enough room above the stall
 * until air has come, and from which a free-rev comes back by itself; cold, faster as practice has it, as far as the valve goes.
 *
 * @param torque hardest load of the drills, N·m  @param lagAt lag of the air path at a speed, s
 * @param revLeaves share of the room above the stall that a free-rev back to a speed leaves with the loop held open
 */
export function targetFor(
  bench: Bench, inertia: number, torque: number, lagAt: (rpm: number) => number, revLeaves: (rpm: number) => number,
): { readonly curve: Curve; readonly row: SetupRow } {
  const { lowest, highest, step } = HOT_TARGETS;
  const from = (rpm: number, good: (rpm: number) => boolean): number | null => {
    for (let at = rpm; at <= highest; at += step) if (good(at)) return at;
    return null;
  };
  const hit = from(lowest, (rpm) => rpm - dropRpm(torque, inertia, lagAt(rpm)) - bench.stallRpm >= HIT_LEAVES * (rpm - bench.stallRpm)) ?? highest;
  // where a free-rev does not come back by itself at any speed, dashpot air is for it
  const rev = from(hit, (rpm) => revLeaves(rpm) >= REV_LEAVES) ?? hit;
  const hot = rev;
  const { full, unit } = bench.range;
  const held: string[] = [];
  const y = TARGETS_C.map((coolantC) => {
    let rpm = toNearest(hot * interpolate(FASTER, coolantC), 10);
    const wanted = rpm;
    while (rpm > hot && bench.airAt(coolantC, rpm) > MOST_OF_VALVE * full) rpm -= 10;
    if (rpm < wanted) held.push(`${say(coolantC)} °C from ${wanted}`);
    return rpm;
  });
  const curve = { x: TARGETS_C, y };
  const drop = dropRpm(torque, inertia, lagAt(hot));
  return {
    curve,
    row: {
      key: 'controller.target', text: points(curve), unit: 'rpm',
      why:
        `none was given; hot, ${say(torque)} N·m unannounced takes ${say(drop, 2)} rpm in the lag of the air path, ` +
        `which at ${hot} rpm leaves ${say(hot - drop - bench.stallRpm, 3)} above the stall; ` +
        (rev > hit ? `${hit} would do for that, but a free-rev back to it would come too near the stall with the loop open; ` : '') +
        'cold, faster as is common practice' +
        (held.length === 0 ? '' : `, held down at ${held.join(', ')} so that the valve keeps ${say(100 * (1 - MOST_OF_VALVE))} % (${sayAir((1 - MOST_OF_VALVE) * full, unit)}) in hand`),
      brief: `hot: ${say(torque)} N·m unannounced leaves half the room; cold: faster, practice`,
      provenBy: 'steady idle, unannounced load',
      flag: hit === highest ? `even ${highest} rpm does not leave enough room above the stall for ${say(torque)} N·m` : null,
      tried: null,
    },
  };
}

/**
 * Base air: what holds the target, solved for each coolant; and a row that is flagged where the valve runs out.
 *
 * @param elsewhere what the base lacks at a height, in a sentence; '' for nothing
 */
export function baseFor(scenario: Scenario, bench: Bench, elsewhere = ''): { readonly curve: Curve; readonly exact: readonly number[]; readonly row: SetupRow } {
  const { full, unit } = bench.range;
  const step = coarse(unit);
  const targets = COOLANTS_C.map((coolantC) => interpolate(scenario.controller.targetRpm, coolantC));
  const exact = COOLANTS_C.map((coolantC, i) => bench.airAt(coolantC, targets[i]!));
  const y = exact.map((air) => clip(toNearest(air, step), 0, full));
  const curve = { x: COOLANTS_C, y };
  const short = exact.flatMap((air, i) => {
    const at = `${say(COOLANTS_C[i]!)} °C (${say(targets[i]!, 4)} rpm)`;
    if (air > full) return [`at ${at} the engine needs ${sayAir(air, unit)} and the valve ends at ${sayAir(full, unit)}`];
    return air < 0 ? [`at ${at} the shut valve already lets the engine run faster: the leak past the throttle is too large`] : [];
  });
  return {
    curve, exact,
    row: {
      key: 'controller.base', text: points(curve), unit: unitName(unit),
      why:
        'the air that holds the target with nothing else on, coolant and oil at each temperature, from steady solves; ' +
        `hot at ${say(bench.mapAt(HOT_C, interpolate(scenario.controller.targetRpm, HOT_C)))} kPa of manifold pressure` + (elsewhere === '' ? '' : `; ${elsewhere}`),
      brief: 'steady solves, nothing on',
      provenBy: elsewhere === '' ? 'steady idle, hot; free-rev, hot and cold' : `steady idle, hot; free-rev, hot and cold; unannounced load, ${HEIGHT_M} m`,
      flag: short.length === 0 ? null : `the valve runs out of authority: ${short.join('; ')}`,
      tried: null,
    },
  };
}

/** Speed up to which a number of rpm is rounded for typing in. */
export const roundRpm = (rpm: number): number => upTo(rpm, 25);
