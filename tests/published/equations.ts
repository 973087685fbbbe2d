/**
 * The right-hand side of the mean-value engine, written once more from its published equations with the host's own
 * functions: for a judge that shares neither tables, nor steps, nor code with the plant. SI. No delays, no starter.
 *
 * Sources: L. Guzzella and C. H. Onder, Introduction to Modeling and Control of Internal Combustion Engine Systems, 2nd ed.
 * 2010, ch. 2 (manifold, charge, torque); J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 7.18 and app. C
 * (throttle, flow); ISO 2533:1975; ASTM D341. Completeness of the burn, the clutch and the car are this project's own, as
 * docs/model.md states them.
 */
import type { EngineSettings } from '../../src/plant/engine.js';
import type { ValveSettings } from '../../src/plant/valves/index.js';

export interface Acting {
  /** Valve's effective area, of that wide open, and throttle travel, 0 … 1. */
  readonly opening: number;
  readonly plate: number;
  readonly spark: number;
  readonly load: number;
  readonly loadPower: number;
  /** Clutch pedal 0 … 1 and crank angle per metre in gear, 0 in neutral. */
  readonly clutch?: number;
  readonly perMetre?: number;
}

const FOUR_PI = 4 * Math.PI;
const BENCH = { pressure: 101325, temperature: 293.15, gas: 287.05287 };

/** @returns d(ω, p, v)/dt of (ω, p, v) and what acts; coolant at or above 70 °C where lambda is 1, oil in K */
export function equations(engine: EngineSettings, valve: ValveSettings, oilTemperature = 363.15) {
  const { displacement, compressionRatio, manifold, throttle, driveline, ambient } = engine;
  const temperature = ambient.temperature ?? 288.15 - 0.0065 * ambient.altitude;
  const pressure = ambient.pressure ?? 101325 * ((288.15 - 0.0065 * ambient.altitude) / 288.15) ** (9.80665 / (287.05287 * 0.0065));
  const gas = ambient.gasConstant;
  const exhaust = pressure + engine.backPressure;

  const psi = (ratio: number): number => {
    if (engine.flow.law === 'parabolic') return ratio > 0.5 ? Math.sqrt(2 * ratio * (1 - ratio)) : Math.SQRT1_2;
    const g = engine.flow.gamma;
    const r = Math.max(ratio, (2 / (g + 1)) ** (g / (g - 1)));
    return Math.sqrt(((2 * g) / (g - 1)) * (r ** (2 / g) - r ** ((g + 1) / g)));
  };
  const areaOf = (size: EngineSettings['throttle']['leak']): number =>
    size.by === 'area'
      ? size.area * size.discharge
      : size.flow / ((BENCH.pressure / Math.sqrt(BENCH.gas * BENCH.temperature)) * psi(1 - size.depression / BENCH.pressure));
  const leak = areaOf(throttle.leak) + engine.wax.y[0]!;
  const valveArea = areaOf(valve.size);
  const plateArea = (travel: number): number => {
    const { bore, closedAngle, openAngle, discharge } = throttle;
    return discharge * (Math.PI / 4) * bore ** 2 * (1 - Math.cos(closedAngle + travel * (openAngle - closedAngle)) / Math.cos(closedAngle));
  };

  const charge = (omega: number, p: number): number => {
    const { filling, fillingSpeed, fillingSpeed2, kappa, fuelVapour } = engine.charge;
    const residual = compressionRatio / (compressionRatio - 1) - (exhaust / p) ** (1 / kappa) / (compressionRatio - 1);
    const drawn = ((p * displacement) / (gas * manifold.temperature)) * (filling + fillingSpeed * omega + fillingSpeed2 * omega ** 2) * residual;
    return Math.max(0, drawn / (fuelVapour ? 1 + 1 / engine.fuel.stoichiometric : 1));
  };
  const full = (pressure * displacement) / (gas * temperature);
  const indicated = (m: number, spark: number, omega: number): number => {
    const t = engine.torque;
    const energy = (m / engine.fuel.stoichiometric) * engine.fuel.heatingValue;
    const off = t.mbt + t.mbtSpeed * omega + t.mbtCharge * (m / full) - spark;
    const burnt = Math.min(1, Math.max(0, (m / full - t.misfireCharge) / (t.burningCharge - t.misfireCharge || 1)));
    const complete = t.burningCharge > t.misfireCharge ? burnt ** 2 * (3 - 2 * burnt) : 1;
    return Math.max(0, (energy / FOUR_PI) * (t.efficiency + t.efficiencySpeed * omega + t.efficiencySpeed2 * omega ** 2) * (1 - t.sparkLoss * off ** 2) * complete);
  };

  const { viscosity40, viscosity100, exponent } = engine.oil;
  const twice = (nu: number): number => Math.log10(Math.log10(nu * 1e6 + 0.7));
  const b = (twice(viscosity40) - twice(viscosity100)) / Math.log10(373.15 / 313.15);
  const nu = (kelvin: number): number => 10 ** (10 ** (twice(viscosity40) - b * Math.log10(kelvin / 313.15))) - 0.7;
  const thickness = (nu(oilTemperature) / nu(363.15)) ** exponent;
  const friction = (omega: number): number => {
    const f = engine.friction;
    const mep = (bar: number): number => (bar * displacement) / FOUR_PI;
    if (f.law === 'polynomial') return thickness * (f.torque + f.torqueSpeed * omega + f.torqueSpeed2 * omega ** 2);
    if (f.law === 'rubbing') return thickness * mep(f.fmep + f.fmepSpeed * omega + f.fmepSpeed2 * omega ** 2);
    const n = (omega * 60) / (2 * Math.PI) / 1000;
    return thickness * f.scale * mep(1e5 * (0.97 + 0.15 * n + 0.05 * n ** 2));
  };
  const pumping = (p: number): number => (engine.pumping === 'none' ? 0 : ((exhaust - p) * displacement) / FOUR_PI);

  return (dydt: Float64Array, y: Float64Array, acting: Acting): void => {
    const [omega, p, v] = [y[0]!, y[1]!, y[2]!];
    const area = plateArea(acting.plate) + leak + valveArea * acting.opening;
    const inflow = ((area * pressure) / Math.sqrt(gas * temperature)) * psi(p / pressure);
    const m = charge(omega, p);
    const grip = driveline.clutchCapacity * (1 - (acting.clutch ?? 0));
    const perMetre = acting.perMetre ?? 0;
    const slip = perMetre > 0 && grip > 0 ? (50 * (omega - v * perMetre)) / grip : 0;
    const clutch = (grip * slip) / Math.sqrt(1 + slip ** 2);
    dydt[0] = (indicated(m, acting.spark, omega) - pumping(p) - friction(omega) - acting.load - acting.loadPower / omega - clutch) / engine.inertia;
    dydt[1] = ((gas * manifold.temperature) / manifold.volume) * (inflow - (m * omega) / FOUR_PI);
    dydt[2] = v > 0 ? (clutch * perMetre - driveline.rolling * Math.min(1, v / 0.5) - driveline.drag * v ** 2) / driveline.mass : 0;
  };
}
