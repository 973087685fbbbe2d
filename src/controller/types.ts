/**
 * The contract of the controller: what it measures and what it commands. Reader's units, a suffix in every name.
 * It never sees the plant; anyone may tick it against their own, every `settings.periodS`.
 */

export interface Measured {
  speedRpm: number;
  throttlePct: number;
  coolantC: number;
  intakeAirC: number;
  vehicleSpeedKmh: number;
  supplyV: number;
  clutchPressed: boolean;
  inNeutral: boolean;
  /** One a load, in the order of the settings. */
  loadRequests: readonly boolean[];
  engine: 'off' | 'cranking' | 'running' | 'stalled';
}

export interface Command {
  /** Air command in the valve's own unit, % or steps. */
  air: number;
  /** The same as a fraction of the valve's range, 0 … 1. */
  airFraction: number;
  /** Spark, °BTDC. */
  sparkDeg: number;
  targetRpm: number;
  loopClosed: boolean;
  /** Why the loop is open, or null when it is closed. */
  loopOpenBecause: string | null;
  /** Loads switched on, after their leads. */
  loadsOn: readonly boolean[];
}

export interface Controller {
  /** One tick. The record returned is the same one each time. */
  step(measured: Measured): Readonly<Command>;
  reset(): void;
  /**
   * Sets the integral so that the next closed-loop command is `air` at zero error: how a run starts at rest.
   * @param air in the valve's own unit
   */
  seed(air: number, measured: Measured): void;
  /** The calibrator's hand on the target, added to it, rpm. */
  setTargetOffset(offsetRpm: number): void;
}
