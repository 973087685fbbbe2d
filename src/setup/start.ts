/**
 * Air around the start: while cranking, and after it, from starts in simulation and steady solves.
 *
 * A standing engine's manifold is full of air, and in the model that alone starts it, even on a shut valve. So the least
 * that catches says little. What counts is the air once that is used up (after a long crank, or first firings that failed):
 * turning through the catch speed needs what would hold it there, and the run-up ends on the base.
 */
import type { ControllerSettings } from '../controller/parameters.js';
import { interpolate } from '../numerics/curve.js';
import { fromSI, toSI } from '../parameter/unit.js';
import type { Scenario } from '../scenario/index.js';
import { coarse, say, sayAir, toNearest, unitName, upTo, withController } from './apply.js';
import { points } from './base.js';
import { type Bench, createBench } from './bench.js';
import type { OffEngine } from './corners.js';
import type { SetupDrill } from './drills.js';
import type { Runner } from './prove.js';
import type { SetupRow } from './result.js';

/** Coolant of the points, °C. */
const STARTS_C = [-20, 20, 80];
/** A start is good that catches in this time, s, and sags no deeper below target once it has run up, rpm. */
const CATCHES_S = 1.5;
const SAGS_RPM = 100;
/** Time that a slow starter is given, of what it takes with the valve wide open. */
const SLOWER = 1.2;
/** Cranking air lies so far above the least that catches, as a share of the valve: a weak battery, a wet plug. */
const CRANKING_MARGIN = 0.05;
/** Air after start that is tried, as a share of the valve. */
const AFTER = [0, 0.02, 0.04, 0.06, 0.08, 0.12, 0.16, 0.2, 0.3];

type StartSettings = ControllerSettings['start'];
const flat = (value: number) => ({ x: [STARTS_C[0]!], y: [value] });

interface Run {
  readonly catchS: number | null;
  readonly sagRpm: number | null;
  readonly settledS: number | null;
  readonly passes: boolean;
}

export interface StartFound {
  readonly start: StartSettings;
  readonly rows: readonly SetupRow[];
}

/** Air that turns the engine through its catch speed with the manifold's own air used up; at worst with an engine that is off. */
interface Through {
  readonly asItIs: number;
  readonly worst: number;
}

/** @param engines a fifth off in one thing each */
function throughCatch(scenario: Scenario, bench: Bench, engines: readonly OffEngine[], catchRpm: number): (coolantC: number) => Through {
  const off = engines.map((each) => createBench(each.put(scenario)));
  return (coolantC) => {
    const asItIs = bench.airAt(coolantC, catchRpm);
    return { asItIs, worst: Math.max(asItIs, ...off.map((each) => each.airAt(coolantC, catchRpm))) };
  };
}

/**
 * @param drills with every other setting in place; only those of kind `start` are used
 * @param engines a fifth off in one thing each
 */
export function startFor(drills: readonly SetupDrill[], bench: Bench, runner: Runner, engines: readonly OffEngine[]): StartFound {
  const { scenario: any } = drills[0]!;
  const given = any.controller.start;
  const starts = drills.filter(({ kind }) => kind === 'start');
  const { unit, full } = bench.range;
  const step = coarse(unit);
  const template = starts[0]?.scenario;
  type Three<T> = readonly [T, T, T];
  const rows = (text: Three<string>, why: Three<string>, brief: Three<string>, flags: Three<string | null>): readonly SetupRow[] =>
    (['cranking', 'after', 'duration'] as const).map((key, i) => ({
      key: `controller.start.${key}`, text: text[i]!, unit: key === 'duration' ? 's' : unitName(unit), why: why[i]!, brief: brief[i]!,
      provenBy: starts.map(({ scenario }) => scenario.drill.name).join('; ') || 'none', flag: flags[i]!, tried: null,
    }));
  const keep = (why: string, flag: string | null): StartFound => ({
    start: given,
    rows: rows([points(given.cranking), points(given.after), points(given.durationS)], [why, why, why], ['kept as it is', 'kept as it is', 'kept as it is'], [flag, null, null]),
  });
  if (template === undefined || template.engine.model !== 'mean-value') return keep('kept as it is: this engine cannot be started in simulation', 'not computed: this engine cannot be started in simulation; take it from the car');
  const catchRpm = fromSI(template.engine.crank.catch, 'rpm');
  const throughAt = throughCatch(any, bench, engines, catchRpm);

  const run = (coolantC: number, start: StartSettings): Run => {
    // the start alone, whatever a drill of the file does after it
    const events = template.drill.events.filter((event) => event.do === 'starter').slice(0, 1);
    const drill = { ...template.drill, events, start: { ...template.drill.start, coolant: toSI(coolantC, 'degC'), oil: null } };
    const { trace, result } = runner.run(withController({ ...template, drill } satisfies Scenario, { start }));
    const { speedRpm, timeS } = trace.columns;
    const from = trace.events[0]?.atS ?? 0;
    const row = speedRpm.subarray(0, trace.rows).findIndex((speed) => speed >= catchRpm);
    const { metrics } = result.scored;
    return { catchS: row < 0 ? null : timeS[row]! - from, sagRpm: metrics.sagRpm, settledS: metrics.settlingTimeS, passes: result.passes };
  };

  const found = STARTS_C.map((coolantC) => {
    const withAir = (cranking: number, after: number, durationS: number): Run =>
      run(coolantC, { cranking: flat(cranking), after: flat(after), durationS: flat(durationS) });
    // an engine that takes long even with all the air there is, is judged by that
    const bestS = withAir(full, 0, 0).catchS;
    const through = throughAt(coolantC);
    if (bestS === null) return { coolantC, cranking: null, through, least: 0, after: 0, durationS: 0, bare: null, fails: true, lateS: null };
    const allowedS = Math.max(CATCHES_S, SLOWER * bestS);
    const catches = (air: number): boolean => (withAir(air, 0, 0).catchS ?? Number.POSITIVE_INFINITY) <= allowedS;
    let [low, high] = [-1, Math.round(full / step)];
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (catches(middle * step)) high = middle;
      else low = middle;
    }
    const least = high * step;
    const base = toNearest(interpolate(any.controller.base, coolantC), step);
    const cranking = Math.min(full, Math.max(base, upTo(least > 0 ? least + CRANKING_MARGIN * full : 0, step), upTo(through.worst, step)));
    // how long the run-up lasts by itself is how long help may be wanted
    const bare = withAir(cranking, 0, 0);
    const durationS = Math.max(3, upTo(2 * ((bare.settledS ?? 10) - (bare.catchS ?? 0)), 1));
    // the least that is good; where none is, that of the starts that pass which sags least
    const better = (a: Run, b: Run): boolean => (a.passes !== b.passes ? a.passes : (a.sagRpm ?? 0) < (b.sagRpm ?? 0));
    let best = { after: 0, run: bare };
    for (const share of AFTER.slice(1)) {
      if (best.run.passes && (best.run.sagRpm ?? 0) <= SAGS_RPM) break;
      const air = upTo(share * full, step);
      const tried = withAir(cranking, air, durationS);
      if (better(tried, best.run)) best = { after: air, run: tried };
    }
    const after = best.after;
    const fails = !best.run.passes;
    return { coolantC, cranking, through, least, after, durationS, bare, fails, lateS: bestS > CATCHES_S ? bestS : null };
  });

  const never = found.filter(({ cranking }) => cranking === null);
  if (never.length > 0) {
    const at = never.map(({ coolantC }) => `${say(coolantC)} °C`).join(', ');
    return keep('kept as it is', `not computed: at ${at} the engine does not catch even with the valve wide open; its starter is too weak, or the drill lets go of it too soon`);
  }
  const curve = (value: (each: (typeof found)[number], i: number) => number) => ({ x: STARTS_C, y: found.map(value) });
  const late = found.filter(({ lateS }) => lateS !== null);
  const helpless = found.filter(({ fails }) => fails);
  const short = found.filter(({ through }) => through.worst > full);
  const flags = [
    late.length === 0 ? null : `even with the valve wide open it catches late: ${late.map(({ coolantC, lateS }) => `${lateS!.toFixed(1)} s at ${say(coolantC)} °C`).join(', ')}; the starter is weak for this engine`,
    short.length === 0 ? null : `with the manifold's air used up the whole valve does not turn it through the catch speed: ${short.map(({ coolantC, through }) => `${sayAir(through.worst, unit)} wanted at ${say(coolantC)} °C`).join(', ')}`,
  ].filter((flag) => flag !== null);
  const crankingFlag = flags.length === 0 ? null : flags.join('; ');
  const start: StartSettings = {
    cranking: curve(({ cranking }) => cranking!),
    after: curve(({ after }) => after),
    durationS: curve(({ durationS }) => durationS),
  };
  const sags = found.map(({ coolantC, bare }) => `${say(coolantC)} °C ${bare?.sagRpm === null || bare?.sagRpm === undefined ? 'none seen' : `${bare.sagRpm.toFixed(0)} rpm`}`).join(', ');
  return {
    start,
    rows: rows(
      [points(start.cranking), points(start.after), points(start.durationS)],
      [
        `what the run-up ends on (the base), and never less than what turns the engine through its catch speed, ${say(catchRpm)} rpm, once the air that stood in the manifold is used up: ` +
          `${found.map(({ coolantC, through }) => `${sayAir(through.asItIs, unit)} at ${say(coolantC)} °C`).join(', ')} ` +
          `(with the engine a fifth off at worst ${found.map(({ through }) => sayAir(through.worst, unit)).join(', ')}); ` +
          (found.every(({ least }) => least === 0)
            ? 'with the manifold full it catches even on a shut valve'
            : `with the manifold full the least that catches within ${CATCHES_S} s is ${found.map(({ coolantC, least }) => `${sayAir(least, unit)} at ${say(coolantC)} °C`).join(', ')}, and ${say(100 * CRANKING_MARGIN)} % of the valve comes on top`),
        `the smallest with which the start passes and sags no more than ${SAGS_RPM} rpm after the run-up, or sags least; without any it sags: ${sags}`,
        `twice as long as the run-up takes to settle from the catch without air after start${start.after.y.every((air) => air === 0) ? '; of no effect while that air is nought' : ''}`,
      ],
      ['the base, on which the run-up ends', 'least with which no start sags', 'twice the run-up'],
      [crankingFlag, helpless.length === 0 ? null : `with no air up to ${sayAir(AFTER.at(-1)! * full, unit)} does the start pass at ${helpless.map(({ coolantC }) => `${say(coolantC)} °C`).join(', ')}`, null],
    ),
  };
}
