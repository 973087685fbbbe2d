/** The table of engine parameters. A small car's 1.8 L four when nothing is said. */
import { choice, curve, group, own, si, text, type Values } from '../parameter/table.js';
import { alternatorTable } from './alternator.js';
import { ambientTable } from './ambient.js';
import { crankTable } from './crank.js';
import { drivelineTable } from './driveline.js';
import { fuelCutTable } from './fuel-cut.js';
import { chargeTable, flowTable, frictionTable, torqueTable } from './laws/index.js';
import { machinesTable } from './machines.js';
import { oilTable } from './oil.js';
import { throttleTable } from './throttle.js';
import { wallFilmTable } from './wall-film.js';
import { warmUpTable } from './warm-up.js';

const manifoldTable = {
  volume: si({ unit: 'L', default: 2.6, min: 0.2, max: 30, meaning: 'plenum and runners, throttle to valves, V_m', source: 'assumed: 1.5 times the displacement' }),
  temperature: si({ unit: 'degC', default: 45, min: -40, max: 120, meaning: 'gas in the manifold, T_m, constant', source: 'assumed, beside 340 K (Guzzella and Onder 2010, app. B)' }),
} as const;

const fuelTable = {
  lambda: curve({
    x: { name: 'coolant', unit: 'degC', min: -40, max: 130 },
    y: { name: 'lambda', unit: '1', min: 0.6, max: 1.4 },
    default: [[-30, 0.75], [0, 0.85], [40, 0.95], [70, 1]],
    stored: 'si',
    meaning: 'air over stoichiometric air, against coolant',
    source: 'common practice, no source',
  }),
  stoichiometric: own({ unit: '1', default: 14.7, min: 5, max: 18, meaning: 'stoichiometric air to fuel, by mass, σ₀', source: 'US DOE fuel-properties table: 14.7 for petrol' }),
  heatingValue: si({ unit: 'MJ/kg', default: 42.5, min: 15, max: 55, meaning: 'lower heating value, H_l', source: 'US DOE fuel-properties table: 41.9 to 44.2 for petrol' }),
} as const;

const delaysTable = {
  charge: si({ unit: 'deg', default: 360, min: 0, max: 1440, meaning: 'crank angle from a charge drawn in to its torque', source: 'Guzzella and Onder 2010, app. B: induction to power' }),
  spark: si({ unit: 'deg', default: null, min: 0, max: 720, meaning: 'crank angle from a spark set to its torque; one firing interval when not given', source: 'half to one firing interval in the published idle models' }),
} as const;

export const engineTable = {
  name: text({ default: 'a 1.8 L four', meaning: 'name in reports' }),
  cylinders: own({ unit: '1', default: 4, min: 1, max: 16, integer: true, meaning: 'number of cylinders, evenly fired' }),
  displacement: si({ unit: 'L', default: 1.8, min: 0.1, max: 12, meaning: 'swept volume of all cylinders, V_d' }),
  compressionRatio: own({ unit: '1', default: 10, min: 6, max: 16, meaning: 'compression ratio, ε', source: 'assumed' }),
  inertia: si({ unit: 'kg m^2', default: 0.15, min: 0.01, max: 2, meaning: 'crank, flywheel, and what turns with them, J', source: 'assumed, beside 0.14 (a four, Crossley and Cook 1991) and 0.19 (a six, Cook and Powell 1988)' }),
  backPressure: si({ unit: 'kPa', default: 1.5, min: 0, max: 30, meaning: 'exhaust pressure over ambient at idle', source: 'assumed' }),
  ambient: group({ rows: ambientTable, meaning: 'the air outside' }),
  manifold: group({ rows: manifoldTable, meaning: 'intake manifold' }),
  throttle: group({ rows: throttleTable, meaning: 'throttle plate' }),
  wax: curve({
    x: { name: 'coolant', unit: 'degC', min: -40, max: 130 },
    y: { name: 'area', unit: 'mm^2', min: 0, max: 1000 },
    default: [[0, 0]],
    stored: 'si',
    meaning: 'wax bypass beside the valve: effective area C_d·A against coolant',
    source: 'assumed: none',
  }),
  flow: flowTable,
  charge: chargeTable,
  fuel: group({ rows: fuelTable, meaning: 'fuel' }),
  torque: torqueTable,
  pumping: choice({ options: ['mean-effective', 'none'], default: 'mean-effective', meaning: 'pumping torque (p_e − p)·V_d/4π, or none where the friction law holds it', source: 'Guzzella and Onder 2010, ch. 2' }),
  friction: frictionTable,
  oil: group({ rows: oilTable, meaning: 'oil' }),
  delays: group({ rows: delaysTable, meaning: 'delays in crank angle' }),
  crank: group({ rows: crankTable, meaning: 'starting and stalling' }),
  roughness: own({ as: 'roughnessPct', unit: '%', default: 0, min: 0, max: 40, meaning: 'spread of the torque from firing to firing, COV of IMEP', source: 'off; 5 to 10 at a warm idle: from memory' }),
  driveline: group({ rows: drivelineTable, meaning: 'clutch, gears and car' }),
  machines: machinesTable,
  alternator: alternatorTable,
  fuelCut: fuelCutTable,
  wallFilm: wallFilmTable,
  warmUp: warmUpTable,
} as const;
export type EngineSettings = Values<typeof engineTable>;
