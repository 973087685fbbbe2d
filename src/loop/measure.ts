/** The sensor's seam: what the controller is shown, from SI to the reader's units. */
import type { Measured } from '../controller/types.js';
import type { Plant, PlantOutputs } from '../plant/types.js';

const ZERO_C = 273.15;

export function measure(measured: Measured, outputs: Readonly<PlantOutputs>, inputs: Plant['inputs'], speedRpm: number): void {
  measured.speedRpm = speedRpm;
  measured.throttlePct = 100 * outputs.plate;
  measured.coolantC = inputs.coolant - ZERO_C;
  measured.vehicleSpeedKmh = outputs.vehicleSpeed * 3.6;
  measured.supplyV = inputs.supply;
  measured.clutchPressed = inputs.clutch >= 0.5;
  measured.inNeutral = inputs.gear === 0;
  measured.engine = outputs.engine;
}
