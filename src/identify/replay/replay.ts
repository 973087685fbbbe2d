/**
 * A log as a drill: its throttle, coolant, vehicle speed, supply and loads drive an engine whose idle is held by other
 * settings than those that the log was recorded with.
 *
 * Loads go through the drill, so that the controller sees their requests and answers them; what changes from row to row is
 * put into the plant before each step. The vehicle is out of gear: its speed is shown to the controller, and does not drive
 * the engine, so stretches in which the log's car may drive its engine are left out (usable.ts).
 */
import type { DrillEvent, DrillSettings } from '../../loop/parameters.js';
import type { Setup } from '../../loop/setup.js';
import { simulate } from '../../loop/simulate.js';
import type { Trace } from '../../loop/trace.js';
import { createModel } from '../../plant/models.js';
import { type Plant, VEHICLE } from '../../plant/types.js';
import type { FittedLoad } from '../fit/knobs.js';
import type { FitRecording, FitStretch } from '../fit/recording.js';

export interface Replayed {
  readonly startS: number;
  readonly trace: Trace;
  /** Measured speed at the rows of the log, rpm; time as in the trace. */
  readonly timeS: Float64Array;
  readonly measuredRpm: Float64Array;
  /** The setup that was run, its drill made of the log. */
  readonly setup: Setup;
}

const PER_RPM = 30 / Math.PI;
const OPENS = 0.01;

/** Switches of the loads and openings of the throttle, as a drill has them. */
export function eventsOf(stretch: FitStretch, loads: readonly FittedLoad[], known: ReadonlySet<string>, periodS: number): readonly DrillEvent[] {
  const events: DrillEvent[] = [];
  loads.forEach(({ name, torque, power, engage }, i) => {
    const on = stretch.loads[i]!;
    for (let k = 0; k < stretch.rows; k++) {
      if ((on[k - 1] ?? 0) === on[k]) continue;
      const at = k * periodS;
      events.push(known.has(name)
        ? { do: 'machine', at, name, on: on[k] === 1, hold: null }
        : { do: 'load', at, name, torque: on[k]! * torque, power: on[k]! * power, rise: engage, hold: null });
    }
  });
  for (let k = 1; k < stretch.rows; k++) {
    const [before, now] = [stretch.pedal[k - 1]! > OPENS, stretch.pedal[k]! > OPENS];
    if (before !== now) events.push({ do: 'mark', at: k * periodS, name: now ? 'throttle opened' : 'throttle shut' });
  }
  return events.sort((a, b) => a.at - b.at);
}

/** A plant whose surroundings follow the rows of a log. */
function following(inner: Plant, stretch: FitStretch, periodS: number, moving: Float64Array | null): Plant {
  const { inputs, state, step } = inner;
  const now = { step: 0 };
  const put = (): void => {
    const place = Math.min(stretch.rows - 1, (now.step * step) / periodS);
    const k = Math.floor(place);
    const next = Math.min(stretch.rows - 1, k + 1);
    const at = (values: Float64Array): number => values[k]! + (place - k) * (values[next]! - values[k]!);
    inputs.pedal = at(stretch.pedal);
    inputs.coolant = at(stretch.coolant);
    inputs.oil = at(stretch.oil);
    if (inner.accessories?.alternator !== true) inputs.supply = at(stretch.supply);
    if (moving !== null) state[VEHICLE] = at(moving);
  };
  return {
    ...inner,
    reset(start) {
      now.step = 0;
      inner.reset(start);
      put();
    },
    advance() {
      put();
      inner.advance();
      now.step += 1;
    },
  };
}

/**
 * Runs the settings through a stretch of a log, from its first measured speed.
 *
 * @throws RangeError when the settings contradict each other
 */
export function replay(setup: Setup, recording: FitRecording, stretch: FitStretch, loads: readonly FittedLoad[]): Replayed {
  const { periodS } = recording;
  const engine = setup.engine.model === 'regression' ? setup.engine : {
    ...setup.engine, warmUp: { is: 'off' as const }, throttle: { ...setup.engine.throttle, openingTime: 0, closingTime: 0 },
  };
  const known = new Set(engine.model === 'regression' ? [] : engine.machines.map((m) => m.name));
  const drill: DrillSettings = {
    name: 'replay',
    start: {
      speed: stretch.speed[0]!, coolant: stretch.coolant[0]!, oil: stretch.oil[0]!, intakeAir: null, gear: 0, clutch: stretch.vehicle === null ? 'up' : 'down', vehicleSpeed: stretch.vehicle?.[0] ?? null,
      throttlePct: 100 * stretch.pedal[0]!, supply: stretch.supply[0]!, engine: 'running', settled: true,
    },
    events: eventsOf(stretch, loads, known, periodS),
  };
  const made: Setup = { ...setup, engine, drill, run: { ...setup.run, duration: (stretch.rows - 1) * periodS } };
  const plant = createModel(engine, setup.valve, { step: setup.run.step, seed: setup.run.seed });
  const trace = simulate(made, { plant: following(plant, stretch, periodS, stretch.vehicle) });
  return {
    startS: stretch.startS, trace, setup: made,
    timeS: Float64Array.from({ length: stretch.rows }, (_, k) => k * periodS), measuredRpm: stretch.speed.map((v) => v * PER_RPM),
  };
}
