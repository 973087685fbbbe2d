/**
 * A run without an end: the loop of loop/simulate.ts, one stretch of steps at a time, with settings that may change and
 * events that may come between two of them. Pressed at the times of a drill it gives the drill's trace, bit for bit.
 *
 * Settings of the controller change under its running state: integral, entry and timers go on. Another engine or valve is put
 * in at the speed, pressure and vehicle speed of the moment; what is on its way (charge and spark in their delays, a valve
 * between two places) starts anew there.
 */
import { createController } from '../controller/controller.js';
import type { Command } from '../controller/types.js';
import { refuse } from '../loop/events.js';
import { createHand } from '../loop/hand.js';
import { explainStall } from '../loop/stall.js';
import { measure } from '../loop/measure.js';
import { createRecorder, record, type Recorder } from '../loop/recorder.js';
import type { Setup } from '../loop/setup.js';
import type { DrillEvent } from '../loop/parameters.js';
import { createSpeedSensor } from '../loop/speed-sensor.js';
import { firstMeasured, startAt } from '../loop/start.js';
import type { Columns, OpenStretch, TraceEvent } from '../loop/trace.js';
import { createModel } from '../plant/models.js';
import { OMEGA, type Plant, PRESSURE, VEHICLE } from '../plant/types.js';

export interface Live {
  /** Rows since the last asking. */
  drain(): Readonly<Recorder>;
  readonly events: readonly TraceEvent[];
  /** Stretches in which the loop was open, the last one up to now. */
  open(): readonly OpenStretch[];
  timeS(): number;
  /** Why the engine stalled, or null while it has not. */
  stalled(): string | null;
  /** Steps on, no further than a stall. */
  advance(steps: number): void;
  press(event: DrillEvent): void;
  /** Takes other settings from now on. @throws RangeError when they contradict each other; the old ones then stay */
  change(next: Setup): void;
}

const RAD = Math.PI / 180;
/** Rows that may come between two drainings, and those kept that a stall may be explained from. */
export const MOST_UNDRAINED = 4096;
const ROOM = 2 * MOST_UNDRAINED;
const LOOK_BACK = 1024;
/** Most openings kept. */
const MOST_OPEN = 400;

const same = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);
const makePlant = ({ engine, valve, run }: Setup): Plant => createModel(engine, valve, { step: run.step, seed: run.seed });

/** Starts where the drill of `first` starts, without its events. @throws RangeError when settings contradict each other */
export function createLive(first: Setup): Live {
  let setup = first;
  let plant = makePlant(setup);
  const { run } = setup;
  const { step } = plant;
  // the controller reads its settings at every tick: other ones take effect at the next
  const settings = { ...setup.controller, airFull: setup.controller.airFull ?? plant.valve.full };
  const controller = createController(settings);
  const names = settings.loads.map((load) => load.name);
  const measured = firstMeasured(setup, plant, names.map(() => false));
  const omega = startAt(setup, plant, controller, measured);
  const hand = createHand(() => plant, controller, names);
  measured.loadRequests = hand.requests;
  let sensor = createSpeedSensor(plant, run.senseResolutionRpm);
  sensor.reset(omega);
  let sensorFrom = 0;

  const recordEvery = Math.max(1, Math.round(run.record / step));
  const recorder = createRecorder(ROOM);
  const open: OpenStretch[] = [];
  let openSince = 0;
  let because: string | null = null;
  let command: Readonly<Command> | null = null;
  let loadsOn: readonly boolean[] = hand.requests;
  let end: string | null = null;
  let k = 0;
  let taken = 0;

  const tick = (): void => {
    measure(measured, plant.observe(), plant.inputs, sensor.readRpm(k - sensorFrom));
    command = controller.step(measured);
    loadsOn = command.loadsOn;
    plant.inputs.air = command.airFraction;
    plant.inputs.spark = command.sparkDeg * RAD;
    if (command.loopOpenBecause === because) return;
    if (because !== null) open.push({ fromS: openSince * step, toS: k * step, because });
    if (open.length > MOST_OPEN) open.shift();
    openSince = k;
    because = command.loopOpenBecause;
  };
  const keep = (): void => {
    if (recorder.rows === ROOM) {
      const from = Math.min(Math.max(taken, ROOM / 2), ROOM - LOOK_BACK); // what nobody asked for in time is lost
      for (const column of Object.values(recorder.columns)) column.copyWithin(0, from, ROOM);
      recorder.rows -= from;
      taken = Math.max(0, taken - from);
    }
    record(recorder, k * step, measured.speedRpm, command as Command, plant.observe(), settings.clamp.lowest, settings.clamp.highest);
  };
  /** All of a step up to the plant's move. @returns whether the engine has stalled */
  const look = (): boolean => {
    hand.apply(k, loadsOn);
    if (k % Math.max(1, Math.round(settings.periodS / step)) === 0) tick();
    const stalled = plant.engine() === 'stalled';
    if (k % recordEvery === 0 || stalled) keep();
    if (stalled) end = explainStall(plant.observe(), command as Command, settings.clamp.lowest, settings.airFull ?? plant.valve.full, recorder);
    return stalled;
  };
  const putIn = (next: Setup): void => {
    const before = plant;
    const after = makePlant(next);
    Object.assign(after.inputs, before.inputs);
    after.reset({ omega: before.state[OMEGA]!, pressure: before.state[PRESSURE]!, vehicleSpeed: before.state[VEHICLE]!, engine: before.engine() });
    plant = after;
    sensor = createSpeedSensor(plant, run.senseResolutionRpm);
    sensor.reset(plant.state[OMEGA]!);
    sensorFrom = k;
  };

  return {
    drain() {
      const columns = Object.fromEntries(Object.entries(recorder.columns).map(([name, column]) => [name, column.slice(taken, recorder.rows)])) as Columns;
      const rows = recorder.rows - taken;
      taken = recorder.rows;
      return { columns, rows };
    },
    events: hand.events,
    open: () => (because === null ? open : [...open, { fromS: openSince * step, toS: k * step, because }]),
    timeS: () => k * step,
    stalled: () => end,
    advance(steps) {
      for (let i = 0; i < steps && end === null; i++) {
        if (look()) return;
        plant.advance();
        k += 1;
        sensor.update(k - sensorFrom);
      }
    },
    press(event) {
      refuse(event, 'bench', plant);
      hand.press(event, k);
    },
    change(next) {
      const wanted = { ...next.controller, airFull: next.controller.airFull ?? plant.valve.full };
      createController(wanted); // refuses what contradicts itself
      if (!same([next.engine, next.valve], [setup.engine, setup.valve])) putIn(next);
      Object.assign(settings, wanted);
      setup = next;
    },
  };
}
