/** What a controller sees of a warm engine at rest at 800 rpm. */
import type { Measured } from '../../src/controller/types.js';

export const warmMeasured = (): Measured => ({
  speedRpm: 800, throttlePct: 0, coolantC: 90, intakeAirC: 20, vehicleSpeedKmh: 0, supplyV: 14, clutchPressed: false, inNeutral: true, loadRequests: [], engine: 'running',
});
