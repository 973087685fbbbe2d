/** What a controller is shown, idling warm in neutral, with what differs. */
import type { Measured } from '../../src/controller/types.js';

export const idling = (given: Partial<Measured> = {}): Measured => ({
  speedRpm: 800, throttlePct: 0, coolantC: 90, intakeAirC: 20, vehicleSpeedKmh: 0, supplyV: 14, clutchPressed: false, inNeutral: true,
  loadRequests: [], engine: 'running', ...given,
});
