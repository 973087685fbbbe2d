/**
 * The published regression (src/plant/regression.ts) linearised about an idle, its polynomials differentiated by hand.
 * Units of that model inside: p bar, N rad/s, charge g a firing, spark °BTDC; what goes out is in SI.
 *
 * Its sampled scheme gathers a charge over half a turn, lets it wait for half a turn and holds it for half a turn: on the
 * mean one half turn of plain delay beside two windows of one, 360° in all.
 */
import { areaTerm, chargeOf, pressureTerm, pumpingFlow, type RegressionSettings } from '../plant/regression.js';
import type { Equilibrium } from './equilibrium.js';
import { DIRECT_VALVE } from './idle-valve.js';
import type { Balance, LinearEngine } from './jacobian.js';

const BAR = 1e5;
const PER_VOLUME = 0.41328;
const DEG = Math.PI / 180;
const HALF_TURN = Math.PI;

/** @throws RangeError when the pressure is above ambient, where the model was not fitted */
export function lineariseRegression(settings: RegressionSettings, at: Equilibrium): { readonly engine: LinearEngine; readonly balance: Balance } {
  const { inertia, travelDeg } = settings;
  const bar = at.pressure / BAR;
  if (!(bar < 1)) throw new RangeError('no linear model: the manifold is not below ambient pressure');
  const n = at.omega;
  const sigma = at.spark / DEG;
  const theta = travelDeg * at.air;
  const charge = chargeOf(n, bar);
  const out = pumpingFlow(n, bar);
  const outByPressure = n * (0.08979 - 0.0674 * bar + 0.0001 * n);
  const outBySpeed = 0.08979 * bar - 0.0337 * bar * bar + 0.0002 * n * bar;
  const areaSlope = -0.05231 + theta * (0.20598 - 0.00189 * theta);
  // g' is straight below half the ambient pressure; above, of 2·√(p − p²)
  const gSlope = bar <= 0.5 ? 0 : (1 - 2 * bar) / Math.sqrt(bar - bar * bar);
  const window = settings.delay.by === 'sampled' ? HALF_TURN / n : 0;
  return {
    balance: {
      charge: charge / 1e3, air: out / 1e3, pumping: 0, friction: 0, load: 0,
      indicated: 0, // brake torque, which at rest without a load is nothing
    },
    engine: {
      pressure: {
        byPressure: PER_VOLUME * (areaTerm(theta) * gSlope - outByPressure),
        bySpeed: -BAR * PER_VOLUME * outBySpeed,
        byOpening: BAR * PER_VOLUME * pressureTerm(bar) * areaSlope * travelDeg,
      },
      speed: {
        byPressure: 0,
        bySpeed: (0.027 - 0.000214 * n + 0.00048 * sigma) / inertia,
        byCharge: (379.36 + sigma * (2.55 - 0.05 * sigma)) / inertia,
        bySpark: (0.26 - 0.0056 * sigma + 0.00048 * n + charge * (2.55 - 0.1 * sigma)) / inertia / DEG,
        byLoad: -1 / inertia,
      },
      charge: { byPressure: (HALF_TURN * outByPressure) / n / BAR, bySpeed: (HALF_TURN * (outBySpeed * n - out)) / (n * n) },
      chargeDelay: settings.delay.by === 'angle' ? settings.delay.angle / n : window,
      sparkDelay: 0,
      window,
      film: null,
      valve: DIRECT_VALVE,
    },
  };
}
