/** From settings to laws: what an engine is composed of. SI. */
import { ambient as ambientOf } from './ambient.js';
import type { EngineSettings } from './engine.js';
import { CHARGES, createLaw, FLOWS, FRICTIONS, TORQUES } from './laws/index.js';
import type { Basics, ChargeLaw, FlowLaw, FrictionLaw, Laws, PumpingLaw, TorqueLaw } from './laws/law.js';
import { mixtureTorque } from './laws/torque.js';
import { plateLaw } from './throttle.js';
import { areaOf, type ValveSettings } from './valves/index.js';

const FOUR_PI = 4 * Math.PI;

/** What the laws may know of an engine. */
export function basicsOf(engine: EngineSettings): Basics {
  const ambient = ambientOf(engine.ambient);
  const { cylinders, displacement, compressionRatio } = engine;
  return {
    cylinders,
    displacement,
    compressionRatio,
    ambient,
    manifoldTemperature: engine.manifold.temperature,
    exhaustPressure: ambient.pressure + engine.backPressure,
    stoichiometric: engine.fuel.stoichiometric,
    heatingValue: engine.fuel.heatingValue,
  };
}

/** The laws that the settings name, with any of your own laid over them. */
export function lawsOf(engine: EngineSettings, valve: ValveSettings, basics: Basics, given: Partial<Laws> = {}): Laws {
  const k = { exhaustPressure: basics.exhaustPressure, perPressure: basics.displacement / FOUR_PI };
  const pumping: PumpingLaw = engine.pumping === 'none' ? () => 0 : (pressure) => (k.exhaustPressure - pressure) * k.perPressure;
  const known = ['flow', 'plate', 'valve', 'charge', 'torque', 'mixture', 'pumping', 'friction'];
  const stranger = Object.keys(given).find((name) => !known.includes(name));
  if (stranger !== undefined) throw new RangeError(`laws.${stranger}: unknown; known here: ${known.join(', ')}`);
  const flow = given.flow ?? createLaw<FlowLaw>(FLOWS, engine.flow, basics);
  return {
    flow,
    valve: areaOf(valve, flow),
    plate: plateLaw(engine.throttle),
    charge: createLaw<ChargeLaw>(CHARGES, engine.charge, basics),
    torque: createLaw<TorqueLaw>(TORQUES, engine.torque, basics),
    mixture: mixtureTorque,
    pumping,
    friction: createLaw<FrictionLaw>(FRICTIONS, engine.friction, basics),
    ...given,
  };
}
