/**
 * Friction laws: torque against crank speed, and what cold oil makes of it.
 *
 * A mean effective pressure f over the swept volume is a torque f·V_d/(4π).
 */
import { own, si } from '../../parameter/table.js';
import { checkPolynomial, defineLaw, type FrictionLaw } from './law.js';

const FOUR_PI = 4 * Math.PI;

/** Friction torque, N·m, of a mean effective pressure, Pa, over a swept volume, m³. */
export const torqueOf = (meanEffectivePressure: number, displacement: number): number => (meanEffectivePressure * displacement) / FOUR_PI;

/** Rubbing and auxiliaries, without pumping: f₀ + f₁ω + f₂ω². */
export const rubbingFriction = defineLaw<FrictionLaw>()({
  parameters: {
    fmep: si({ unit: 'bar', default: 0.6, min: 0, max: 4, meaning: 'friction mean effective pressure at no speed, hot, without pumping', source: 'assumed, beside 0.34 bar (2.48 L five, Guzzella and Onder structure) and Barnes-Moss with its pumping taken off' }),
    fmepSpeed: si({ unit: 'bar s', default: 0.0012, min: -0.02, max: 0.02, meaning: 'its rise with crank speed in rad/s', source: 'assumed: 0.13 bar for each 1000 rpm' }),
    fmepSpeed2: si({ unit: 'bar s^2', default: 3e-6, min: -1e-4, max: 1e-4, meaning: 'its rise with the square of the crank speed', source: 'assumed: 0.03 bar at 1000 rpm' }),
  },
  create(settings, basics) {
    checkPolynomial('engine.friction.fmep', [settings.fmep / 1e5, settings.fmepSpeed / 1e5, settings.fmepSpeed2 / 1e5], true);
    const k = {
      constant: torqueOf(settings.fmep, basics.displacement),
      linear: torqueOf(settings.fmepSpeed, basics.displacement),
      square: torqueOf(settings.fmepSpeed2, basics.displacement),
    };
    return (omega, thickness) => thickness * (k.constant + omega * (k.linear + omega * k.square));
  },
});

/** A torque polynomial: b₀ + b₁ω + b₂ω². Source of its use: Guzzella and Onder 2010, app. B. */
export const polynomialFriction = defineLaw<FrictionLaw>()({
  parameters: {
    torque: si({ unit: 'N m', default: 8, min: 0, max: 100, meaning: 'friction torque at no speed, hot', source: 'assumed' }),
    torqueSpeed: si({ unit: 'N m s/rad', default: 0, min: -0.5, max: 0.5, meaning: 'its rise with crank speed', source: 'assumed' }),
    torqueSpeed2: si({ unit: 'N m s^2/rad^2', default: 0, min: -0.01, max: 0.01, meaning: 'its rise with the square of the crank speed', source: 'assumed' }),
  },
  create(settings) {
    const { torque, torqueSpeed, torqueSpeed2 } = settings;
    checkPolynomial('engine.friction.torque', [torque, torqueSpeed, torqueSpeed2], true);
    return (omega, thickness) => thickness * (torque + omega * (torqueSpeed + omega * torqueSpeed2));
  },
});

/**
 * Total motored friction of 845 … 2000 cm³ engines at wide-open throttle, **pumping included**: use it with
 * `pumping: none` or not at all.
 *
 *     tfmep/bar = 0.97 + 0.15·(N/1000) + 0.05·(N/1000)²
 *
 * Source: Barnes-Moss 1975, as Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 13.6.
 */
export const barnesMossFriction = defineLaw<FrictionLaw>()({
  parameters: {
    scale: own({ unit: '1', default: 1, min: 0.2, max: 3, meaning: 'multiplies the whole', source: 'assumed' }),
  },
  create(settings, basics) {
    const perOmega = 0.03 / Math.PI;
    const scale = torqueOf(1e5, basics.displacement) * settings.scale;
    return (omega, thickness) => {
      const thousands = omega * perOmega;
      return thickness * scale * (0.97 + thousands * (0.15 + 0.05 * thousands));
    };
  },
});
