/**
 * The drill of the plant's bench: 15 s of the default engine in open loop from 800 rpm and 30 kPa, the valve's command and
 * the spark slowly up and down, 8 N·m on from a third to two thirds. plant.c has the same.
 */
export const STEPS = 15000;
const WAVE = 4000;
const RPM = Math.PI / 30;
const DEG = Math.PI / 180;

/** Runs it on a plant of 1 ms steps. */
export function drill(plant) {
  const { inputs } = plant;
  inputs.air = 0.35;
  inputs.spark = 20 * DEG;
  inputs.load = 0;
  plant.reset({ omega: 800 * RPM, pressure: 30e3, vehicleSpeed: 0, engine: 'running' });
  for (let k = 0; k < STEPS; k++) {
    const phase = k % WAVE;
    const wave = (phase < WAVE / 2 ? phase : WAVE - phase) / (WAVE / 2);
    inputs.air = 0.35 + 0.06 * wave;
    inputs.spark = (20 + 2 * wave) * DEG;
    inputs.load = k >= STEPS / 3 && k < (2 * STEPS) / 3 ? 8 : 0;
    plant.advance();
  }
}
