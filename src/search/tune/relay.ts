/** The relay experiment on the simulated engine: valve, manifold, delays, sensor and all, its controller taken off. */
import { createController } from '../../controller/controller.js';
import { relayExperiment, type RelayResult } from '../../linear/index.js';
import type { Setup } from '../../loop/setup.js';
import { createSpeedSensor } from '../../loop/speed-sensor.js';
import { firstMeasured, startAt } from '../../loop/start.js';
import { createModel } from '../../plant/models.js';

/** Half swing aimed at, rpm: well above the rounding of the reading, well within what is linear. */
const SWING_RPM = 25;
const LONGEST_S = 90;
/** Share of the way to a stop of the valve that the relay may use. */
const ROOM = 0.8;
const RPM = Math.PI / 30;
const DEG = Math.PI / 180;

/**
 * Swings the air of an idle to and fro as the reading crosses its target; the spark trim stays at work as it is set.
 *
 * @param setup running and settled, without events   @param gain ultimate gain as the linear loop has it, air per rpm
 */
export function relayOnEngine(setup: Setup, gain: number): RelayResult & { readonly amplitude: number } {
  const plant = createModel(setup.engine, setup.valve, { step: setup.run.step, seed: setup.run.seed });
  const full = setup.controller.airFull ?? plant.valve.full;
  const controller = createController({ ...setup.controller, airFull: full });
  const measured = firstMeasured(setup, plant, setup.controller.loads.map(() => false));
  const omega = startAt(setup, plant, controller, measured);
  const sensor = createSpeedSensor(plant, setup.run.senseResolutionRpm);
  sensor.reset(omega);
  const every = Math.round(setup.controller.periodS / setup.run.step);
  const bias = plant.inputs.air * full;
  const wanted = (Math.PI / 4) * gain * SWING_RPM;
  const least = plant.valve.unit === 'step' ? 1 : 0;
  const amplitude = Math.max(least, Math.min(wanted, ROOM * Math.min(bias, full - bias)));
  let k = 0;
  const result = relayExperiment(
    (command) => {
      measured.speedRpm = sensor.readRpm(k);
      plant.inputs.air = Math.min(1, Math.max(0, command / full));
      plant.inputs.spark = controller.step(measured).sparkDeg * DEG;
      for (let i = 0; i < every; i++) {
        if (plant.engine() !== 'running') return Number.NaN;
        plant.advance();
        k += 1;
        sensor.update(k);
      }
      return sensor.readRpm(k);
    },
    { periodS: setup.controller.periodS, amplitude, bias, target: omega / RPM, longestS: LONGEST_S, steady: 0.02 },
  );
  return { ...result, amplitude };
}
