/**
 * Oil: viscosity against temperature, and what it does to friction.
 *
 *     log₁₀ log₁₀(ν + 0.7) = A − B·log₁₀ T        ν in mm²/s, T in K   (ν ≥ 2 mm²/s)
 *     thickness = (ν(T)/ν(90 °C))^m
 *
 * Source: ASTM D341 (Walther); A and B from the two viscosities that an oil's data sheet gives.
 */
import { exp, log, pow } from '../numerics/elementary.js';
import { own, si, type Values } from '../parameter/table.js';

export const oilTable = {
  viscosity40: si({ unit: 'mm^2/s', default: 61.7, min: 10, max: 400, meaning: 'kinematic viscosity at 40 °C', source: 'assumed: a 5W-30, at −30 °C by ASTM D341 0.3 % over the limit that SAE J300 sets' }),
  viscosity100: si({ unit: 'mm^2/s', default: 10.6, min: 3.8, max: 30, meaning: 'kinematic viscosity at 100 °C', source: 'SAE J300: 9.3 to 12.5 for grade 30' }),
  exponent: own({ unit: '1', default: 0.2, min: 0, max: 0.6, meaning: 'friction goes with viscosity to this power', source: '0.19 to 0.24: from memory; cold over hot friction is in docs/verification.md' }),
} as const;
export type OilSettings = Values<typeof oilTable>;

const LN10 = log(10);
const log10 = (x: number): number => log(x) / LN10;
const HOT = 363.15;

/** Kinematic viscosity, m²/s, at a temperature, K. */
export function viscosity(settings: OilSettings, temperature: number): number {
  const at = (nu: number): number => log10(log10(nu * 1e6 + 0.7));
  const warm = log10(313.15);
  const hot = log10(373.15);
  const slope = (at(settings.viscosity40) - at(settings.viscosity100)) / (hot - warm);
  const twice = at(settings.viscosity40) + slope * (warm - log10(temperature));
  return (exp(LN10 * exp(LN10 * twice)) - 0.7) * 1e-6;
}

/** What the oil multiplies friction by at a temperature, K; 1 at 90 °C. */
export function oilThickness(settings: OilSettings, temperature: number): number {
  return pow(viscosity(settings, temperature) / viscosity(settings, HOT), settings.exponent);
}
