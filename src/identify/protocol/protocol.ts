/**
 * A plan for recording an engine so that a fit and a diagnosis can tell something: what to do, how large, what to watch, when
 * to break off. Every amplitude is tried on the model first, and made smaller until the speed stays well above the stall.
 */
import { interpolate } from '../../numerics/curve.js';
import { toSI } from '../../parameter/unit.js';
import { simulate } from '../../loop/simulate.js';
import type { Scenario } from '../../scenario/index.js';
import { createBench } from './idle-bench.js';
import { seenIn, type Seen, tryScript } from './trial.js';

export interface PlanStep {
  readonly name: string;
  /** What it tells. */
  readonly tells: string;
  readonly does: readonly string[];
  /** What the model expects: lowest and highest speed, rpm; null where it was not tried. */
  readonly expects: { readonly lowestRpm: number; readonly highestRpm: number } | null;
  readonly watch: string;
  readonly abort: string;
  /** Why it was made smaller or left out; null otherwise. */
  readonly note: string | null;
}

export interface Plan {
  readonly targetRpm: number;
  readonly stallRpm: number;
  /** Break off below this, rpm. */
  readonly abortBelowRpm: number;
  readonly airUnit: string;
  readonly holdAir: number;
  readonly channels: readonly string[];
  readonly steps: readonly PlanStep[];
}

const HOT_C = 88;
/** Part of the way from stall to target that the speed may fall in a trial, and at which the driver breaks off. */
const [MAY_FALL, BREAK_OFF] = [0.45, 0.62];
/** Rise and fall of the settled speed that tell something without leaving the idle, rpm. */
const [RISE_RPM, FALL_RPM] = [250, 120];
const [BEFORE_S, STEP_S, PULSE_S] = [3, 5, 0.6];
const SPARK_DEG = 6;
/** Halvings after which a trial is given up. */
const TRIES = 6;
const round = (value: number, to: number): number => Number((Math.round(value / to) * to).toPrecision(6));

/** The largest of amplitude, amplitude/√2, … with which the speed stays above the floor. */
function safe(amplitude: number, floorRpm: number, run: (amplitude: number) => Seen): { readonly amplitude: number; readonly seen: Seen } | null {
  for (let i = 0, a = amplitude; i < TRIES; i++, a /= Math.SQRT2) {
    const seen = run(a);
    if (!seen.stalled && seen.lowestRpm >= floorRpm) return { amplitude: a, seen };
  }
  return null;
}

/** @param scenario warm idle is made of it; its engine, valve and loads count, not its drill */
export function planFor(scenario: Scenario): Plan {
  const warm = hot(scenario);
  const bench = createBench(warm);
  const { unit, full } = bench.range;
  const targetRpm = interpolate(warm.controller.targetRpm, HOT_C);
  const stallRpm = bench.stallRpm;
  const spark = interpolate(warm.controller.spark.baseDeg, HOT_C) + interpolate(warm.controller.spark.slopeDeg, targetRpm);
  const holdAir = bench.airAt(HOT_C, targetRpm);
  const floorRpm = targetRpm - MAY_FALL * (targetRpm - stallRpm);
  const abortBelowRpm = round(targetRpm - BREAK_OFF * (targetRpm - stallRpm), 10);
  const fine = unit === 'step' ? 1 : 0.5;
  const say = (air: number): string => `${round(air, fine)} ${unit === 'step' ? 'steps' : unit}`;
  const abort = `the speed falls below ${abortBelowRpm} rpm: let the loop close, or open the throttle a little`;
  const step = (change: number, lastS: number) => (a: number): Seen =>
    tryScript(warm, full, (t) => ({ air: Math.min(full, Math.max(0, holdAir + (t >= BEFORE_S && t < BEFORE_S + lastS ? Math.sign(change) * a : 0))), sparkDeg: spark }), targetRpm, BEFORE_S + lastS + 3);
  const air = (name: string, rpm: number, lastS: number, tells: string, again: string): PlanStep => {
    const wanted = Math.max(fine, round(Math.abs(rpm / bench.rpmPerAir(HOT_C, targetRpm)), fine));
    const found = safe(wanted, floorRpm, step(rpm, lastS));
    if (found === null) return { name, tells, does: [], expects: null, watch: '', abort, note: 'left out: on the model even a small one brings the engine near its stall' };
    const amplitude = Math.max(fine, round(found.amplitude, fine));
    const { lowestRpm, highestRpm } = step(rpm, lastS)(amplitude);
    return {
      name, tells,
      does: [`hold the command at what idles, about ${say(holdAir)}, loop open`, `${rpm > 0 ? 'add' : 'take off'} ${say(amplitude)} for ${lastS} s, then back; wait ${lastS + 3} s`, again],
      expects: { lowestRpm, highestRpm }, watch: `the speed goes ${rpm > 0 ? 'up and comes back' : 'down, and no further than this'}`, abort,
      note: amplitude < wanted * 0.9 ? `made smaller than the ${say(wanted)} that would move the speed by ${Math.abs(rpm)} rpm, so that it stays clear of the stall` : null,
    };
  };
  const steps: PlanStep[] = [
    warmUp(warm, targetRpm),
    air('Steps of air, up', RISE_RPM, STEP_S, 'inertia and plenum together, valve curve and lag, friction against speed', 'three times'),
    air('Steps of air, down', -FALL_RPM, STEP_S, 'the same near the stall, where delay counts most', 'three times'),
    air('Pulses of air', RISE_RPM * 1.4, PULSE_S, 'valve lag and torque delay, apart from what is slow', 'six times, at uneven times'),
    sparkSteps(warm, full, holdAir, spark, targetRpm, floorRpm, abort),
    freeRev(warm, targetRpm),
    ...loadSteps(warm, targetRpm, abortBelowRpm),
    coast(warm),
  ];
  return {
    targetRpm, stallRpm, abortBelowRpm, airUnit: unit, holdAir: round(holdAir, fine), steps,
    channels: ['engine speed', 'manifold pressure', 'air command', 'spark', 'coolant temperature', 'throttle', 'target speed', 'vehicle speed', 'clutch switch', ...loadsOf(warm).map((name) => `request of ${name}`)],
  };
}

/** The scenario hot, idling and out of gear. */
function hot(scenario: Scenario): Scenario {
  const start = { ...scenario.drill.start, coolant: toSI(HOT_C, 'degC'), oil: null, gear: 0, throttlePct: 0, vehicleSpeed: null, speed: null, engine: 'running', settled: true } as const;
  return { ...scenario, drill: { ...scenario.drill, start, events: [] }, run: { ...scenario.run, record: Math.max(scenario.run.record, scenario.run.step) } } as Scenario;
}

const loadsOf = ({ engine, controller }: Scenario): readonly string[] =>
  [...new Set([...controller.loads.map(({ name }) => name), ...(engine.model === 'mean-value' ? engine.machines.map(({ name }) => name) : [])])];

function warmUp({ controller }: Scenario, targetRpm: number): PlanStep {
  const cold = interpolate(controller.targetRpm, 20);
  return {
    name: 'Cold start and warm-up', tells: 'base air against coolant, friction of cold oil, air after start', expects: null, note: null,
    does: ['start the engine cold, after a night outside', `leave it alone until the coolant rests (target ${Math.round(cold)} rpm at 20 °C, ${Math.round(targetRpm)} rpm hot)`],
    watch: 'coolant rises steadily; the speed comes down with the target', abort: 'coolant passes 105 °C, oil pressure fails, smoke or smell of fuel',
  };
}

function sparkSteps(warm: Scenario, full: number, holdAir: number, spark: number, targetRpm: number, floorRpm: number, abort: string): PlanStep {
  const name = 'Steps of spark';
  const tells = 'what a degree is worth, and the delay of the spark';
  const run = (a: number): Seen => tryScript(warm, full, (t) => ({ air: holdAir, sparkDeg: spark - (t >= BEFORE_S && t < BEFORE_S + STEP_S ? a : 0) }), targetRpm, BEFORE_S + STEP_S + 3);
  const found = safe(SPARK_DEG, floorRpm, run);
  if (found === null) return { name, tells, does: [], expects: null, watch: '', abort, note: 'left out: on the model even a small one brings the engine near its stall' };
  const amplitude = Math.max(1, Math.floor(found.amplitude));
  const { lowestRpm, highestRpm } = run(amplitude);
  return {
    name, tells, does: ['hold the air command as before, loop open', `retard by ${amplitude}° from ${round(spark, 0.5)}° for ${STEP_S} s, then back; three times`],
    expects: { lowestRpm, highestRpm }, watch: 'the speed falls at once and comes back at once; the exhaust gets hotter', abort,
    note: amplitude < SPARK_DEG ? `made smaller than ${SPARK_DEG}°, so that the speed stays clear of the stall` : null,
  };
}

/** A drill on the closed loop as the scenario has it. */
function tryDrill(warm: Scenario, events: readonly object[], durationS: number): Seen {
  const drilled = { ...warm, drill: { ...warm.drill, events }, run: { ...warm.run, duration: durationS } } as Scenario;
  return seenIn(simulate(drilled), 0, durationS);
}

function freeRev(warm: Scenario, targetRpm: number): PlanStep {
  const until = Math.min(3000, round(3.2 * targetRpm, 100));
  const seen = tryDrill(warm, [{ do: 'throttle', at: 2, name: 'free-rev', openingPct: 25, until: toSI(until, 'rpm') }], 14);
  return {
    name: 'Free-rev', tells: 'inertia by itself (throttle shut, the speed runs down), and how the loop takes the return',
    does: [`in neutral open the throttle smoothly to ${until} rpm, let go; wait 10 s`, 'three times, loop as it is used'],
    expects: seen.stalled ? null : { lowestRpm: seen.lowestRpm, highestRpm: seen.highestRpm }, watch: 'the speed comes back and does not fall through target by much',
    abort: 'it dies on the first return: do not repeat, the settings come first', note: seen.stalled ? 'on the model this engine stalls on the return: mend the entry first' : null,
  };
}

function loadSteps(warm: Scenario, targetRpm: number, abortBelowRpm: number): readonly PlanStep[] {
  const { engine } = warm;
  if (engine.model !== 'mean-value') return [];
  const events = [
    ...engine.machines.map(({ name }) => ({ name, on: { do: 'machine', at: 2, name, on: true, hold: null }, off: { do: 'machine', at: 10, name, on: false, hold: null } })),
    ...(engine.alternator.fitted === 'yes' ? [{ name: 'headlights and blower', on: { do: 'electrical', at: 2, name: 'electrical', power: 300, inrush: 0, inrushTime: 0.3, hold: null }, off: { do: 'electrical', at: 10, name: 'electrical', power: 0, inrush: 0, inrushTime: 0.3, hold: null } }] : []),
  ];
  const steps = events.map(({ name, on, off }): PlanStep => {
    const seen = tryDrill(warm, [on, off], 18);
    const near = seen.stalled || seen.lowestRpm < abortBelowRpm;
    return {
      name: `Load: ${name}`, tells: 'its torque, and whether its air and lead are right', does: [`switch ${name} on for 8 s, off for 8 s`, 'three times, loop as it is used'],
      expects: near ? null : { lowestRpm: seen.lowestRpm, highestRpm: seen.highestRpm }, watch: `how far the speed falls from ${Math.round(targetRpm)} rpm, and what the command does at once and later`,
      abort: `the speed falls below ${abortBelowRpm} rpm: switch it off`,
      note: near ? `on the model the speed falls ${seen.stalled ? 'until the engine stalls' : `to ${Math.round(seen.lowestRpm)} rpm`}: give it air first, or a foot on the throttle` : null,
    };
  });
  if (steps.length > 0) return steps;
  return [{
    name: 'Loads', tells: 'torque of each, and whether its air and lead are right', does: ['switch every load that the car has, one at a time: 8 s on, 8 s off; three times', 'one of known watts, such as headlights, is the anchor of torque for a fit'],
    expects: null, watch: 'how far the speed falls, and what the command does at once and later', abort: `the speed falls below ${abortBelowRpm} rpm: switch it off`, note: 'the engine file names none, so nothing could be tried on the model',
  }];
}

const coast = (warm: Scenario): PlanStep => ({
  name: 'Coasting, then the clutch', tells: 'whether the loop stays open while the car drives the engine, and how it takes over', expects: null,
  does: ['on a closed road or a roller, in a middle gear at 2000 rpm, take the foot off; after 5 s press the clutch and wait 8 s', 'twice'],
  watch: 'the air command while the car drives the engine: it should not wind down', abort: 'traffic, people, or a speed that does not come back to target',
  note: warm.engine.model === 'mean-value' ? 'not tried on the model: it depends on road and gear' : null,
});
