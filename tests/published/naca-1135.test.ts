/**
 * Flow through restrictions against isentropic flow of air (γ = 1.4).
 *
 * Source: Ames Research Staff, Equations, Tables, and Charts for Compressible Flow, NACA Report 1135, 1953. Its table prints
 * four figures. The row M = 2 was seen quoted (T/T₀ 0.5556, p/p₀ 0.1278, A/A* 1.688); the other rows are computed here from
 * the report's equations to six figures.
 *
 * The flow function needs no table of its own: at a subsonic M, Ψ(p/p₀)/Ψ_choked is the throat area over A, 1/(A/A*).
 */
import { describe, expect, test } from 'vitest';
import { FLOWS } from '../../src/plant/laws/index.js';
import type { Basics } from '../../src/plant/laws/law.js';
import { criticalRatio } from '../../src/plant/laws/flow.js';
import { flowFunction, restrictionFlow, SMOOTH } from '../../src/plant/restriction.js';

const NO_BASICS = {} as Basics;
const isentropic = (gamma: number) => FLOWS.isentropic.create({ gamma }, NO_BASICS);
const air = isentropic(1.4);
const parabolic = FLOWS.parabolic.create({}, NO_BASICS);
const psi = (ratio: number): number => Math.sqrt(air(ratio));
const CHOKED = Math.sqrt(air(0));

/** M, p/p₀, ρ/ρ₀, T/T₀, A/A* */
const TABLE = [
  [0.1, 0.993031, 0.995017, 0.998004, 5.821829],
  [0.3, 0.93947, 0.95638, 0.982318, 2.035065],
  [0.5, 0.843019, 0.88517, 0.952381, 1.339844],
  [0.7, 0.720928, 0.791579, 0.910747, 1.094373],
  [0.9, 0.59126, 0.687044, 0.860585, 1.008863],
  [1, 0.528282, 0.633938, 0.833333, 1],
] as const;

describe('the table', () => {
  test('is that of the report, whose row M = 2 reads 0.5556, 0.1278, 1.688', () => {
    const temperature = (m: number): number => 1 / (1 + 0.2 * m * m);
    const area = (m: number): number => ((1 + 0.2 * m * m) / 1.2) ** 3 / m;
    expect(temperature(2)).toBeCloseTo(0.5556, 4);
    expect(temperature(2) ** 3.5).toBeCloseTo(0.1278, 4);
    expect(area(2)).toBeCloseTo(1.688, 3);
    for (const [m, p, rho, t, a] of TABLE) {
      expect(temperature(m)).toBeCloseTo(t, 6);
      expect(temperature(m) ** 2.5).toBeCloseTo(rho, 6);
      expect(temperature(m) ** 3.5).toBeCloseTo(p, 6);
      expect(area(m)).toBeCloseTo(a, 6);
    }
  });

  test.each(TABLE)('at M = %f the flow, of the choked one, is A*/A', (_m, ratio, _rho, _t, area) => {
    // p/p₀ is given to 5e-7; the flow function rises with an endless slope at 1, by 1/M² for it
    expect(Math.abs((psi(ratio) / CHOKED) * area - 1)).toBeLessThan(5.5e-7 / (1 - ratio));
  });

  test('at the very ratios of the report’s equations it is A*/A to 1e-10, M from 0.05 to 1', () => {
    for (let m = 0.05; m <= 1; m += 0.01) {
      const t = 1 + 0.2 * m * m;
      const area = (t / 1.2) ** 3 / m;
      expect(Math.abs((psi(t ** -3.5) / CHOKED) * area - 1)).toBeLessThan(1e-9);
    }
  });

  test('supersonic ratios flow no more than the throat does', () => {
    for (const ratio of [0.272403, 0.127805, 0]) expect(psi(ratio)).toBe(CHOKED);
  });
});

describe('choked flow (computed from the report’s equations)', () => {
  test.each([[1.4, 0.5282817877, 0.6847314564], [1.35, 0.5368512184, 0.6761448751], [1.3, 0.5457277338, 0.6672623512]])(
    'γ = %f chokes at %f and Ψ is %f', (gamma, ratio, value) => {
      expect(criticalRatio(gamma)).toBeCloseTo(ratio, 10);
      expect(Math.sqrt(isentropic(gamma)(0.3))).toBeCloseTo(value, 9);
    });

  test.each([[287, 0.0404184199], [287.05, 0.0404148996], [287.052874, 0.0404146973]])(
    'with R = %f the flow is %f kg·√K/(s·m²·Pa), 0.0404 in handbooks (from memory)', (gasConstant, constant) => {
      const flow = restrictionFlow(1, 1e5, 2e4, 288.15, 288.15, gasConstant, air);
      expect((flow * Math.sqrt(288.15)) / 1e5).toBeCloseTo(constant, 10);
    });

  test.each([
    [0.6, 0.6769152529], [0.7, 0.6383172333], [0.8, 0.5606610192], [0.9, 0.4225808638], [0.95, 0.3076411004], [0.98, 0.1978455506], [0.99, 0.1406617026],
  ])('Ψ(%f) = %f', (ratio, value) => {
    expect(psi(ratio)).toBeCloseTo(value, 9);
    expect(flowFunction(air(ratio), SMOOTH)).toBe(psi(ratio));
  });

  test('the parabola, each scaled to 1, is off by 0.0189 at most, at a ratio of 0.821', () => {
    let worst = 0;
    let at = 0;
    for (let ratio = 0.4; ratio < 1; ratio += 0.0005) {
      const off = Math.abs(Math.sqrt(2 * parabolic(ratio)) - psi(ratio) / CHOKED);
      if (off > worst) [worst, at] = [off, ratio];
    }
    expect(worst).toBeCloseTo(0.0189, 4);
    expect(at).toBeCloseTo(0.821, 2);
  });
});

describe('worked flows, γ = 1.4, R = 287.05 (computed)', () => {
  test.each([
    [100e-6, 101325, 30000, 288.15, 24.12397138],
    [8e-6, 101325, 35000, 293.15, 1.913388477],
    [100e-6, 100000, 80000, 298.15, 19.16479507],
    [100e-6, 100000, 95000, 298.15, 10.5159418],
  ])('%f m² from %f to %f Pa at %f K: %f g/s', (area, upstream, downstream, temperature, flow) => {
    expect(restrictionFlow(area, upstream, downstream, temperature, 300, 287.05, air) * 1e3 / flow).toBeCloseTo(1, 8);
  });

  test('the other way round the same flow runs back, at the other side’s temperature', () => {
    expect(restrictionFlow(100e-6, 80000, 100000, 350, 298.15, 287.05, air) * -1e3).toBeCloseTo(19.16479507, 7);
  });

  test('nothing flows at equal pressures, and no pressure or temperature may be zero', () => {
    expect(restrictionFlow(1e-4, 1e5, 1e5, 300, 300, 287, air)).toBeCloseTo(0, 12);
    expect(() => restrictionFlow(1e-4, 0, 1e5, 300, 300, 287, air)).toThrow(RangeError);
    expect(() => restrictionFlow(1e-4, 1e5, 1e5, 300, -1, 287, air)).toThrow(/downstreamTemperature/);
  });
});
