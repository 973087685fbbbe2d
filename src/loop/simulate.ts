/**
 * The loop: plant and controller through a drill, in whole steps. SI inside; the two seams that convert are `measure`
 * (the sensor) and the lines that hand a command to the plant.
 *
 *     for k = 0, 1, … n:
 *         the drill brings loads, pedal, clutch … to step k
 *         every period:  sense → controller → actuators
 *         every record:  write a row (what was seen and applied, before the plant moves)
 *         stalled or k = n: end
 *         the plant moves one step; the speed sensor watches the crank
 *
 * Same settings, same seed: the same bits, anywhere.
 */
import { createController } from '../controller/controller.js';
import type { Command, Controller } from '../controller/types.js';
import { createModel } from '../plant/models.js';
import type { Plant } from '../plant/types.js';
import { createDrill } from './drill.js';
import { measure } from './measure.js';
import { createRecorder, record } from './recorder.js';
import type { Setup } from './setup.js';
import { createSpeedSensor } from './speed-sensor.js';
import { explainStall } from './stall.js';
import { firstMeasured, startAt } from './start.js';
import type { OpenStretch, Trace } from './trace.js';

export interface Own {
  /** A plant of your own, built for `setup.run.step`; that of `setup` otherwise. */
  readonly plant?: Plant;
  /** A controller of your own; that of `setup` otherwise. */
  readonly controller?: Controller;
}

const RAD = Math.PI / 180;

/**
 * Runs a drill and returns its trace. The run ends early when the engine stalls.
 *
 * @throws RangeError when the controller's period or the row spacing is no whole number of steps, or settings contradict
 */
export function simulate(setup: Setup, own: Own = {}): Trace {
  const { run, drill, controller: settings } = setup;
  const plant = own.plant ?? createModel(setup.engine, setup.valve, { step: run.step, seed: run.seed });
  const controller = own.controller ?? createController({ ...settings, airFull: settings.airFull ?? plant.valve.full });
  const { inputs, step } = plant;
  const every = wholeSteps(settings.periodS, step, 'controller.period');
  const recordEvery = wholeSteps(run.record, step, 'run.record');
  const last = Math.round(run.duration / step);

  const loadNames = settings.loads.map((load) => load.name);
  const requests = loadNames.map(() => false);
  const measured = firstMeasured(setup, plant, requests);
  const omega = startAt(setup, plant, controller, measured);
  const acting = createDrill(drill, plant, controller, loadNames);
  measured.loadRequests = acting.requests;
  const sensor = createSpeedSensor(plant, run.senseResolutionRpm);
  sensor.reset(omega);

  const recorder = createRecorder(Math.floor(last / recordEvery) + 2);
  const { lowest, highest } = settings.clamp;
  const open: OpenStretch[] = [];
  let openSince = 0;
  let because: string | null = null;
  let command: Readonly<Command> | null = null;
  let loadsOn: readonly boolean[] = requests;
  let stalled = false;
  let k = 0;

  for (; ; k++) {
    acting.apply(k, loadsOn);
    if (k % every === 0) {
      measure(measured, plant.observe(), inputs, sensor.readRpm(k));
      command = controller.step(measured);
      loadsOn = command.loadsOn;
      inputs.air = command.airFraction;
      inputs.spark = command.sparkDeg * RAD;
      if (command.loopOpenBecause !== because) {
        if (because !== null) open.push({ fromS: openSince * step, toS: k * step, because });
        openSince = k;
        because = command.loopOpenBecause;
      }
    }
    stalled = plant.engine() === 'stalled';
    if (k % recordEvery === 0 || stalled) {
      record(recorder, k * step, measured.speedRpm, command as Command, plant.observe(), lowest, highest);
    }
    if (k === last || stalled) break;
    plant.advance();
    sensor.update(k + 1);
  }

  const outputs = plant.observe();
  if (because !== null) open.push({ fromS: openSince * step, toS: k * step, because });
  return {
    rows: recorder.rows,
    recordS: recordEvery * step,
    columns: recorder.columns,
    airUnit: plant.valve.unit,
    airLimits: [lowest, highest],
    events: acting.events,
    open,
    end: {
      atS: k * step,
      engine: outputs.engine,
      because: stalled ? explainStall(outputs, command as Command, lowest, settings.airFull ?? plant.valve.full, recorder) : 'end of the run',
    },
    stalled,
    stallTimeS: stalled ? k * step : null,
    stallRpm: (plant.stallSpeed * 30) / Math.PI,
  };
}

/** How many steps a time is. @throws RangeError when it is no whole number of them */
function wholeSteps(time: number, step: number, name: string): number {
  const steps = Math.round(time / step);
  if (steps < 1 || Math.abs(time / step - steps) > 1e-6) throw new RangeError(`${name}: ${time} s is no whole number of steps of ${step} s`);
  return steps;
}
