/**
 * Charge: speed–density filling with the residual gas taken off.
 *
 *     m = p·V_d/(R·T_m) · (g₀ + g₁ω + g₂ω²) · [ε/(ε−1) − (p_e/p)^(1/κ)/(ε−1)] / (1 + 1/σ₀)
 *
 * per engine cycle. The last divisor stands when fuel vapour shares the port with the air; at lambda 1, whatever the mixture.
 * Source: Guzzella and Onder, Introduction to Modeling and Control of Internal Combustion Engine Systems, 2nd ed. 2010, ch. 2.
 *
 * p·(p_e/p)^(1/κ) is written p_e·(p/p_e)^(1−1/κ), a gentle function of the ratio, and tabled.
 */
import { pow } from '../../numerics/elementary.js';
import { createTable } from '../../numerics/table.js';
import { flag, own, si } from '../../parameter/table.js';
import { type ChargeLaw, checkPolynomial, defineLaw } from './law.js';

/** Lowest pressure ratio of the table; below it the power runs straight on, where no charge would be left in any case. */
const LOWEST = 0.02;
const HIGHEST = 1.5;
export const RESIDUAL_CELLS = 1024;

export const residualCharge = defineLaw<ChargeLaw>()({
  parameters: {
    filling: own({ unit: '1', default: 0.6, min: 0.2, max: 1.2, meaning: 'volumetric efficiency at no speed, g₀', source: 'assumed, beside Guzzella and Onder 2010 (0.45 to 0.68)' }),
    fillingSpeed: si({ unit: 's/rad', default: 9e-4, min: -0.005, max: 0.01, meaning: 'its rise with crank speed, g₁', source: 'Guzzella and Onder 2010, app. B (8.6e-4)' }),
    fillingSpeed2: si({ unit: 's^2/rad^2', default: -0.7e-6, min: -2e-5, max: 2e-5, meaning: 'its curvature, g₂', source: 'assumed: keeps the filling in bounds at speed' }),
    kappa: own({ unit: '1', default: 1.35, min: 1.2, max: 1.5, meaning: 'polytropic exponent of the residual gas', source: 'Guzzella and Onder 2010' }),
    fuelVapour: flag({ default: true, meaning: 'fuel vapour displaces air in the port', source: 'Guzzella and Onder 2010' }),
  },
  create(settings, basics) {
    const { filling, fillingSpeed, fillingSpeed2, kappa, fuelVapour } = settings;
    checkPolynomial('engine.charge.filling', [filling, fillingSpeed, fillingSpeed2], false);
    const { displacement, compressionRatio, manifoldTemperature, exhaustPressure, ambient, stoichiometric } = basics;
    const exponent = 1 - 1 / kappa;
    const power = createTable(
      (r) => pow(r, exponent),
      (r) => exponent * pow(r, exponent - 1),
      LOWEST,
      HIGHEST,
      RESIDUAL_CELLS,
    );
    const vapour = fuelVapour ? 1 + 1 / stoichiometric : 1;
    const scale = displacement / (ambient.gasConstant * manifoldTemperature) / vapour;
    const swept = (scale * compressionRatio) / (compressionRatio - 1);
    const residual = (scale * exhaustPressure) / (compressionRatio - 1);
    const k = { filling, fillingSpeed, fillingSpeed2, swept, residual, perExhaust: 1 / exhaustPressure };
    return (omega, pressure) => {
      const filled = k.filling + omega * (k.fillingSpeed + omega * k.fillingSpeed2);
      const mass = filled * (k.swept * pressure - k.residual * power(pressure * k.perExhaust));
      return mass > 0 ? mass : 0;
    };
  },
});
