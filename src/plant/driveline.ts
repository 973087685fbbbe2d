/**
 * Driveline: clutch, gear, the car's inertia and its road load. SI.
 *
 * The clutch is a viscous coupling that saturates: it slips at its torque capacity and is all but locked below,
 *
 *     T = e·T_max·s/√(1 + s²)        s = c·(ω − ω_car)/T_max        ω_car = v·G
 *
 * with e the engagement, c a stiffness high enough that 10 N·m slip it by 2 rpm, and G the crank angle per metre in gear.
 * The car:  M·dv/dt = T·G − (a₀ + a₂·v²),  at rest when nothing moves it. Assumed: one lump of mass, no wind-up.
 */
import { list, si, type Values } from '../parameter/table.js';

export const drivelineTable = {
  gears: list({
    of: si({ unit: 'km/h', default: 'required', min: 2, max: 120, meaning: 'road speed at 1000 rpm in this gear' }) ,
    max: 10,
    meaning: 'road speed at 1000 rpm in each gear, first gear first; none: no driveline',
    source: 'assumed',
  }),
  mass: si({ unit: 'kg', default: 1250, min: 200, max: 20000, meaning: 'mass of the car and what turns with its wheels', source: 'assumed' }),
  rolling: si({ unit: 'N', default: 170, min: 0, max: 3000, meaning: 'road load at no speed', source: 'assumed' }),
  drag: si({ unit: '1', default: 0.45, min: 0, max: 10, meaning: 'road load for the square of the speed, N s²/m²', source: 'assumed' }),
  clutchCapacity: si({ unit: 'N m', default: 250, min: 20, max: 3000, meaning: 'torque at which the clutch slips', source: 'assumed' }),
} as const;
export type DrivelineSettings = Values<typeof drivelineTable>;

/** Slope of the coupling, N·m·s/rad: 10 N·m at 0.2 rad/s. Its lag with the smallest crank (0.01 kg m²) is 0.2 ms. */
export const CLUTCH_STIFFNESS = 50;

/** Crank angle per metre of road, rad/m, in a gear; 0 in neutral or in a gear that is not there. */
export function crankPerMetre(settings: DrivelineSettings, gear: number): number {
  const speed = settings.gears[gear - 1];
  return speed === undefined ? 0 : (1000 * Math.PI) / 30 / speed;
}

/** Torque that the clutch takes from the crank, N·m. @param slip ω − ω_car, rad/s  @param capacity engagement × T_max, N·m */
export function clutchTorque(slip: number, capacity: number, stiffness: number): number {
  if (capacity <= 0) return 0;
  const s = (stiffness * slip) / capacity;
  return (capacity * s) / Math.sqrt(1 + s * s);
}

/** Road load, N, never pushing a car that stands. */
export function roadLoad(settings: DrivelineSettings, speed: number): number {
  return speed > 0 ? settings.rolling * (speed < 0.5 ? speed / 0.5 : 1) + settings.drag * speed * speed : 0;
}
