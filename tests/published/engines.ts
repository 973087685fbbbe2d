/**
 * Engines and a valve that the checks share, in SI. The 2.48 L five is scenarios/engines/published-2.48-five.yaml; a test
 * holds the two against each other.
 */
import { fill, type Partly } from '../../src/parameter/fill.js';
import { type EngineSettings, engineTable } from '../../src/plant/engine.js';
import { type ValveSettings, valveTable } from '../../src/plant/valves/index.js';

export const DEG = Math.PI / 180;
export const RPM = Math.PI / 30;

const STRAIGHT = { x: [0, 100], y: [0, 100] };

export const valveOf = (given: Partly<ValveSettings>): ValveSettings => fill({ valve: valveTable }, { valve: given }).valve;

/** @param delays crank angles, rad */
export const five = (delays: { readonly charge: number; readonly spark: number } = { charge: 360 * DEG, spark: 72 * DEG }): EngineSettings =>
  fill(engineTable, {
    name: 'the published 2.48 L five',
    cylinders: 5,
    displacement: 2.48e-3,
    compressionRatio: 11,
    inertia: 0.205,
    backPressure: 0,
    ambient: { pressure: 1e5, temperature: 295, gasConstant: 287 },
    manifold: { volume: 5.561622619629e-3, temperature: 295 },
    throttle: { leak: { by: 'area', area: 2.0335525538988e-6, discharge: 1 } },
    flow: { law: 'parabolic' },
    charge: { law: 'residual', filling: 0.6823, fillingSpeed: 8.6052e-4, fillingSpeed2: 0, kappa: 1.35, fuelVapour: true },
    fuel: { lambda: { x: [293.15], y: [1] }, stoichiometric: 14.7, heatingValue: 42.5e6 },
    torque: {
      law: 'energy', efficiency: 0.3068, efficiencySpeed: -3.02e-4, efficiencySpeed2: 0, sparkLoss: 2.3345e-4 / (DEG * DEG),
      mbt: 0, mbtSpeed: 0, mbtCharge: 0, misfireCharge: 0, burningCharge: 0,
    },
    pumping: 'mean-effective',
    friction: { law: 'polynomial', torque: 6.78, torqueSpeed: 0, torqueSpeed2: 0 },
    oil: { exponent: 0 },
    delays,
  });

export const fiveValve = (): ValveSettings =>
  valveOf({
    kind: 'solenoid', lag: 0, hysteresis: 0, supplySensitivity: 0, opening: STRAIGHT, flow: STRAIGHT,
    size: { by: 'area', area: 612.871897972141e-6, discharge: 1 },
  });
