/** What may be looked at between steps. SI. */
import { CLUTCH_STIFFNESS, clutchTorque } from './driveline.js';
import { loadTorque, type Parts } from './motion.js';
import { firing } from './surroundings.js';
import { ANGLE, OMEGA, type PlantOutputs, PRESSURE, VEHICLE } from './types.js';

const FOUR_PI = 4 * Math.PI;

/** @returns what fills the one record with the outputs at a state, and hands it out */
export function createObserver({ engine, laws, path, delays, fuelling, inputs, now }: Parts, state: Float64Array): () => Readonly<PlantOutputs> {
  const { charge, torque, pumping, friction } = laws;
  const outputs: PlantOutputs = {
    engine: 'off', omega: 0.5, pressure: 0.5, airIn: 0.5, airOut: 0.5, fuel: 0.5, opening: 0.5, plate: 0.5,
    indicated: 0.5, pumping: 0.5, friction: 0.5, load: 0.5, clutch: 0.5, spark: 0.5, vehicleSpeed: 0.5, coolant: 0.5,
  };
  return () => {
    const omega = state[OMEGA]!;
    const pressure = state[PRESSURE]!;
    const burnt = delays.chargeDelay > 0 ? delays.burntAt(state[ANGLE]!) : charge(omega, pressure);
    outputs.spark = delays.sparkDelay > 0 ? delays.firedAt(state[ANGLE]!) : inputs.spark;
    outputs.engine = now.engine;
    outputs.omega = omega;
    outputs.pressure = pressure;
    outputs.airIn = path.flow(path.area[2]!, pressure);
    outputs.airOut = (charge(omega, pressure) * omega) / FOUR_PI;
    outputs.fuel = !firing(now) ? 0 : fuelling === null ? outputs.airOut / (now.lambda * engine.fuel.stoichiometric) : fuelling.now.entering;
    outputs.opening = path.valve.track[2]!;
    outputs.plate = path.plate[2]!;
    outputs.indicated = now.burning === 0 ? 0 : now.burning * torque(burnt, outputs.spark, omega, pressure);
    if (fuelling !== null) outputs.indicated *= fuelling.at(state[ANGLE]!);
    outputs.pumping = pumping(pressure, omega);
    outputs.friction = friction(omega, now.thickness);
    outputs.load = loadTorque(inputs, now.generator, omega);
    outputs.clutch = clutchTorque(omega - state[VEHICLE]! * now.gearing, now.capacity, CLUTCH_STIFFNESS);
    outputs.vehicleSpeed = state[VEHICLE]!;
    outputs.coolant = inputs.coolant;
    return outputs;
  };
}
