/**
 * Errors that docs/verification.md prints as measured, measured again: the largest over the points of the tables named there.
 * The points stand, with their sources, in the tests of tests/published/ of the same names.
 */
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { standardAtmosphere } from '../../src/plant/ambient.js';
import { CHARGES, FLOWS, FRICTIONS } from '../../src/plant/laws/index.js';
import type { Basics } from '../../src/plant/laws/law.js';
import { mixtureEfficiency, sparkEfficiency } from '../../src/plant/laws/torque.js';
import { viscosity } from '../../src/plant/oil.js';

const page = readFileSync(new URL('../../docs/verification.md', import.meta.url), 'utf8');
const NO_BASICS = {} as Basics;
const DEG = Math.PI / 180;

const worst = (pairs: readonly (readonly [ours: number, theirs: number])[]): number =>
  pairs.reduce((most, [ours, theirs]) => Math.max(most, Math.abs(ours / theirs - 1)), 0);

function restriction(): number {
  const air = FLOWS.isentropic.create({ gamma: 1.4 }, NO_BASICS);
  // Ψ at γ 1.4 from the report's equations, ten digits
  const points = [[0.6, 0.6769152529], [0.7, 0.6383172333], [0.8, 0.5606610192], [0.9, 0.4225808638], [0.95, 0.3076411004], [0.98, 0.1978455506], [0.99, 0.1406617026]] as const;
  return worst(points.map(([ratio, value]) => [Math.sqrt(air(ratio)), value]));
}

const atmosphere = (): number =>
  worst([[0, 101325], [500, 95460.8], [1000, 89874.6], [2000, 79495.2], [3000, 70108.5]].map(([altitude, pressure]) => [standardAtmosphere(altitude!).pressure, pressure!]));

function barnesMoss(): number {
  const law = FRICTIONS['barnes-moss'].create({ scale: 1 }, { displacement: 2e-3 } as Basics);
  return worst([[600, 1.078], [700, 1.0995], [800, 1.122], [1000, 1.17], [2000, 1.47], [3000, 1.87], [5000, 2.97]].map(([rpm, bar]) => [(law((rpm! * Math.PI) / 30, 1) * 4 * Math.PI) / 2e-3 / 1e5, bar!]));
}

function walther(): number {
  const thin = { viscosity40: 61.7e-6, viscosity100: 10.6e-6, exponent: 0.2 };
  return worst([[-20, 2685.37], [0, 525.105], [20, 155.771], [60, 29.9869], [80, 16.8893], [90, 13.2258]].map(([celsius, value]) => [viscosity(thin, celsius! + 273.15) * 1e6, value!]));
}

function residual(): number {
  const basics = { displacement: 2e-3, compressionRatio: 10, ambient: { pressure: 1e5, temperature: 300, gasConstant: 287 }, manifoldTemperature: 300, exhaustPressure: 1e5, stoichiometric: 14.7 } as Basics;
  const law = CHARGES.residual.create({ filling: 1, fillingSpeed: 0, fillingSpeed2: 0, kappa: 1.35, fuelVapour: false }, basics);
  return worst([[0.2, 0.745084], [0.3, 0.840045], [0.4, 0.892069], [0.5, 0.925441]].map(([ratio, value]) => [law(80, ratio! * 1e5) / ((ratio! * 1e5 * 2e-3) / (287 * 300)), value!]));
}

const spark = (): number =>
  worst([[5, 0.99416375], [10, 0.976655], [15, 0.94747375], [20, 0.90662], [25, 0.85409375]].map(([off, value]) => [sparkEfficiency(2.3345e-4 / (DEG * DEG), 0, -off! * DEG), value!]));

const mixture = (): number => worst([[0.8, 0.784776], [0.9, 0.897184], [1, 0.9681], [1.1, 0.997524], [1.120915, 0.998431]].map(([lambda, value]) => [mixtureEfficiency(lambda!) * 0.9681, value!]));

/** Below this an error is that of adding up in double precision, and differs from one compiler to the next. */
const ROUNDING = 1e-14;

test.each([
  ['restriction flow', 'Ψ', restriction()],
  ['atmosphere', 'pressure', atmosphere()],
  ['friction', 'mean effective pressure', barnesMoss()],
  ['oil viscosity', 'viscosity', walther()],
  ['residual gas, spark efficiency, mixture', 'residual gas', residual()],
  ['residual gas, spark efficiency, mixture', 'spark', spark()],
  ['residual gas, spark efficiency, mixture', 'mixture', mixture()],
] as const)('%s: the error of %s is the one printed', (row, what, error) => {
  const line = page.split('\n').find((text) => text.startsWith(`| ${row} |`));
  expect(line, row).toBeDefined();
  const said = error < ROUNDING ? 'below 1e-14' : error.toExponential(1);
  expect(line!.split('|').at(-2), `${what}: ${said}`).toContain(`${what} ${said}`);
});
