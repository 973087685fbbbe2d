/** A scenario in other air: warmer, colder, or at a height. */
import type { Scenario } from '../scenario/index.js';

/** Height that settings are looked at for, m: most roads lie lower. */
export const HEIGHT_M = 2000;
/** Intake air under a hot bonnet, °C. Common practice, no source. */
export const WARM_INTAKE_C = 60;

type MeanValue = Extract<Scenario['engine'], { model: 'mean-value' }>;
type Surroundings = Partial<MeanValue['ambient']>;

/** The scenario in other air, or null where the engine model knows no air. */
export function inAir(scenario: Scenario, changes: Surroundings): Scenario | null {
  const { engine } = scenario;
  return engine.model === 'mean-value' ? { ...scenario, engine: { ...engine, ambient: { ...engine.ambient, ...changes } } } : null;
}

/** The scenario at a height, in the standard atmosphere. */
export const atHeight = (scenario: Scenario, altitude: number): Scenario | null => inAir(scenario, { altitude, pressure: null, temperature: null });
