/**
 * Indicated torque from the fuel's energy.
 *
 *     T = m·H_l/(4π·σ₀) · (e₀ + e₁ω + e₂ω²) · e_spark · completeness · [e_mixture/λ],   never below zero
 *     e_spark = 1 − k·(θ_MBT − θ)²            θ_MBT = θ₀ + θ₁·ω + θ₂·(m/m_full)
 *
 * with m_full the mass that fills the swept volume at the ambient. Completeness falls from 1 to 0 with the charge between
 * two fractions of m_full (residual gas stops the flame), in the smooth cubic s²(3 − 2s).
 * Sources: Guzzella and Onder 2010, ch. 2 (efficiencies, spark parabola); mixture parabola −1.6082 + 4.6509λ − 2.0746λ²,
 * 0.8 ≤ λ ≤ 1.2, attributed to G. P. Blair, Design and Simulation of Four-Stroke Engines, 1999 (from memory), scaled to 1
 * at λ = 1.
 */
import { own, si } from '../../parameter/table.js';
import { defineLaw, type TorqueLaw } from './law.js';

const FOUR_PI = 4 * Math.PI;

/** Heat release per fuel against lambda, 1 at lambda 1. Held beyond 0.8 … 1.2, where the source ends. */
export function mixtureEfficiency(lambda: number): number {
  const l = lambda < 0.8 ? 0.8 : lambda > 1.2 ? 1.2 : lambda;
  return (-1.6082 + l * (4.6509 - 2.0746 * l)) / 0.9681;
}

/**
 * Torque with the same air against lambda: as much less fuel, each kilogram of it burnt better. Richer than 0.8, where the
 * source ends, more fuel with the same air gives no more torque: the value at 0.8 is held.
 */
export const mixtureTorque = (lambda: number): number => mixtureEfficiency(lambda) / (lambda < 0.8 ? 0.8 : lambda);

/** Spark efficiency 1 − k·(MBT − spark)², floored at zero. @param loss k, 1/rad²  @param mbt, spark rad BTDC */
export function sparkEfficiency(loss: number, mbt: number, spark: number): number {
  const offset = mbt - spark;
  const efficiency = 1 - loss * offset * offset;
  return efficiency > 0 ? efficiency : 0;
}

export const energyTorque = defineLaw<TorqueLaw>()({
  parameters: {
    efficiency: own({ unit: '1', default: 0.33, min: 0.1, max: 0.6, meaning: 'indicated efficiency at no speed, e₀', source: 'assumed, beside Guzzella and Onder 2010, app. B (0.31 to 0.37)' }),
    efficiencySpeed: si({ unit: 's/rad', default: 0, min: -0.005, max: 0.005, meaning: 'its change with crank speed, e₁', source: 'assumed' }),
    efficiencySpeed2: si({ unit: 's^2/rad^2', default: 0, min: -1e-5, max: 1e-5, meaning: 'its curvature, e₂', source: 'assumed' }),
    sparkLoss: si({ unit: '1/deg^2', default: 2.8e-4, min: 0, max: 0.002, meaning: 'loss for the square of the spark offset from MBT, k', source: 'assumed, beside 2.33e-4 (Guzzella and Onder structure, identified on a 2.48 L five)' }),
    mbt: si({ unit: 'deg', default: 36, min: -10, max: 60, meaning: 'spark for the most torque at no speed and no charge, θ₀', source: 'assumed: the charge and speed terms bring it to about 35 at idle' }),
    mbtSpeed: si({ unit: 'deg/rpm', default: 0.002, min: -0.02, max: 0.02, meaning: 'its change with speed, θ₁', source: 'assumed' }),
    mbtCharge: si({ unit: 'deg', default: -20, min: -60, max: 60, meaning: 'its change from no charge to a full one, θ₂', source: 'assumed' }),
    misfireCharge: own({ unit: '1', default: 0.06, min: 0, max: 0.5, meaning: 'charge, of a full one, at and below which nothing burns', source: 'assumed' }),
    burningCharge: own({ unit: '1', default: 0.12, min: 0, max: 0.6, meaning: 'charge, of a full one, from which all of it burns', source: 'assumed' }),
  },
  create(settings, basics) {
    const { efficiency, efficiencySpeed, efficiencySpeed2, sparkLoss, mbt, mbtSpeed, misfireCharge, burningCharge } = settings;
    if (burningCharge < misfireCharge) throw new RangeError('engine.torque.burningCharge: must not lie below engine.torque.misfireCharge');
    const { ambient, displacement, stoichiometric, heatingValue } = basics;
    const full = (ambient.pressure * displacement) / (ambient.gasConstant * ambient.temperature);
    const perAir = heatingValue / (FOUR_PI * stoichiometric);
    const mbtCharge = settings.mbtCharge / full;
    const misfire = misfireCharge * full;
    const burning = burningCharge * full;
    const perWidth = burning > misfire ? 1 / (burning - misfire) : 0;
    const k = { efficiency, efficiencySpeed, efficiencySpeed2, sparkLoss, mbt, mbtSpeed, mbtCharge, perAir, misfire, burning, perWidth };
    return (charge, spark, omega) => {
      if (charge <= k.misfire) return 0;
      const offset = k.mbt + k.mbtSpeed * omega + k.mbtCharge * charge - spark;
      const atBest = charge * k.perAir * (k.efficiency + omega * (k.efficiencySpeed + omega * k.efficiencySpeed2));
      const torque = atBest * (1 - k.sparkLoss * offset * offset);
      if (!(torque > 0)) return 0;
      if (charge >= k.burning) return torque;
      const s = (charge - k.misfire) * k.perWidth;
      return torque * s * s * (3 - 2 * s);
    };
  },
});
