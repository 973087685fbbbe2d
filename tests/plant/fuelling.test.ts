/** Fuel cut and wall film: masses, delays, and that off is off. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { engineTable } from '../../src/plant/engine.js';
import { createPlant } from '../../src/plant/plant.js';
import { ANGLE, OMEGA, type Plant } from '../../src/plant/types.js';
import { createWallFilm, leanCompleteness, moveWallFilm, restWallFilm, type WallFilmOn, wallFilmTable } from '../../src/plant/wall-film.js';
import { ordinaryEngine, valveFor } from './any.js';

const RPM = Math.PI / 30;

function plantOf(given: object, omega: number, air = 0.3): Plant {
  const engine = fill(engineTable, given as never);
  const plant = createPlant(engine, valveFor(engine));
  Object.assign(plant.inputs, { spark: 0.25, air });
  plant.reset({ omega, pressure: null, vehicleSpeed: null, engine: 'running' });
  return plant;
}

const speeds = (plant: Plant, steps: number, at: (k: number) => void = () => undefined): number[] =>
  Array.from({ length: steps }, (_, k) => {
    at(k);
    plant.advance();
    return plant.state[OMEGA]!;
  });

describe('fuel cut', () => {
  test('one that never comes leaves the engine what it was, within rounding', () => {
    const off = speeds(plantOf({}, 90), 2000);
    const on = speeds(plantOf({ fuelCut: { is: 'on', outSpeed: 5900 * RPM } }, 90), 2000);
    on.forEach((omega, k) => expect(Math.abs(omega / off[k]! - 1)).toBeLessThan(1e-12));
  });

  test('takes fuel at once and torque a crank angle later, and gives both back below the resume speed', () => {
    const plant = plantOf({ fuelCut: { is: 'on', outSpeed: 2000 * RPM, resumeSpeed: 1400 * RPM, delay: 0.1, refill: 0 } }, 2600 * RPM, 0.8);
    let cutAngle: number | null = null;
    let backAngle: number | null = null;
    for (let k = 0; k < 4000 && backAngle === null; k++) {
      plant.advance();
      const { fuel, indicated, omega } = plant.observe();
      if (k < 99) expect(fuel).toBeGreaterThan(0);
      if (fuel === 0 && cutAngle === null) {
        expect(k).toBeLessThan(110);
        cutAngle = plant.state[ANGLE]!;
      }
      if (cutAngle === null) continue;
      const turned = plant.state[ANGLE]! - cutAngle;
      if (turned < 2 * Math.PI - 0.6) expect(indicated).toBeGreaterThan(0);
      else if (turned > 2 * Math.PI + 0.6 && fuel === 0) expect(indicated).toBe(0);
      if (fuel > 0) {
        expect(omega / RPM).toBeLessThanOrEqual(1400);
        backAngle = plant.state[ANGLE]!;
      }
    }
    expect(backAngle).not.toBeNull();
    while (plant.state[ANGLE]! - backAngle! < 2 * Math.PI - 0.4) plant.advance();
    expect(plant.observe().indicated).toBe(0);
    while (plant.state[ANGLE]! - backAngle! < 2 * Math.PI + 0.6) plant.advance();
    expect(plant.observe().indicated).toBeGreaterThan(0);
  });

  test('an opened throttle brings the fuel back, over the re-fill', () => {
    const plant = plantOf({ fuelCut: { is: 'on', outSpeed: 1500 * RPM, resumeSpeed: 1000 * RPM, delay: 0, refill: 0.2 } }, 3000 * RPM, 0.25);
    for (let k = 0; k < 100; k++) plant.advance();
    expect(plant.observe().fuel).toBe(0);
    plant.inputs.pedal = 0.2;
    const shares: number[] = [];
    for (let k = 0; k < 300; k++) {
      plant.advance();
      const { fuel, airOut } = plant.observe();
      shares.push((fuel * 14.7) / airOut);
    }
    const first = shares.findIndex((share) => share > 0);
    expect(first).toBeLessThan(20);
    expect(shares[first + 100]!).toBeGreaterThan(0.4);
    expect(shares[first + 100]!).toBeLessThan(0.6);
    expect(shares.at(-1)!).toBeCloseTo(1, 1);
  });

  test('a resume speed that is not below the cut is refused by name', () => {
    expect(() => plantOf({ fuelCut: { is: 'on', outSpeed: 1000 * RPM, resumeSpeed: 1000 * RPM } }, 90)).toThrow(/^engine\.fuelCut\.resumeSpeed/);
  });
});

describe('wall film', () => {
  const on = (given: Partial<WallFilmOn> = {}): WallFilmOn => fill({ w: wallFilmTable }, { w: { is: 'on', ...given } } as never).w as WallFilmOn;

  test('what enters the cylinders and stays on the wall is what was injected, and never negative', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 0.95, noNaN: true }), fc.double({ min: 0.02, max: 20, noNaN: true }), fc.constantFrom(1e-4, 1e-3, 5e-3),
        fc.array(fc.double({ min: 0, max: 1e-3, noNaN: true }), { minLength: 1, maxLength: 200 }),
        (fraction, time, step, injections) => {
          const film = createWallFilm(on({ fraction, time }), step);
          restWallFilm(film, injections[0]!);
          const start = film.mass;
          let [put, got] = [0, 0];
          for (const injected of injections) {
            const entering = moveWallFilm(film, injected);
            expect(entering).toBeGreaterThanOrEqual(-1e-15);
            expect(film.mass).toBeGreaterThanOrEqual(0);
            put += injected * step;
            got += entering * step;
          }
          expect(Math.abs(put - got - (film.mass - start))).toBeLessThan(1e-12 * (1e-3 + put + start));
        },
      ),
      { numRuns: 200 },
    );
  });

  test('answers a step of injection as the closed form: X·exp(−t/τ) of it is missing', () => {
    const film = createWallFilm(on({ fraction: 0.4, time: 0.5 }), 1e-3);
    restWallFilm(film, 1e-4);
    for (let k = 1; k <= 2000; k++) {
      const entering = moveWallFilm(film, 2e-4);
      // the mean over the step from (k − 1)·h to k·h
      const mean = (0.5 / 1e-3) * (Math.exp(-(k - 1) * 2e-3) - Math.exp(-k * 2e-3));
      expect(Math.abs(entering - (2e-4 - 0.4e-4 * mean))).toBeLessThan(1e-14);
    }
  });

  test('leaves the steady engine where it was, for ordinary engines', () => {
    fc.assert(
      fc.property(ordinaryEngine, fc.double({ min: 0, max: 0.8, noNaN: true }), (engine, fraction) => {
        const wet = { ...engine, wallFilm: on({ fraction }) };
        const plant = createPlant(wet, valveFor(wet));
        plant.inputs.spark = 0.3;
        const { air, pressure } = plant.trimAt(90);
        fc.pre(air >= 0 && air <= 1);
        plant.inputs.air = air;
        plant.reset({ omega: 90, pressure, vehicleSpeed: null, engine: 'running' });
        fc.pre(plant.observe().indicated > 0);
        const { fuel, airOut } = plant.observe();
        expect(fuel * 14.7).toBeCloseTo(airOut, 12);
        for (let k = 0; k < 500; k++) plant.advance();
        expect(Math.abs(plant.state[OMEGA]! / 90 - 1)).toBeLessThan(1e-8);
      }),
      { numRuns: 40 },
    );
  });

  test('goes lean as the air rises and rich as it falls', () => {
    const lambda = (plant: Plant): number => plant.observe().airOut / (14.7 * plant.observe().fuel);
    for (const [air, direction] of [[0.45, 1], [0.2, -1]] as const) {
      const plant = plantOf({ wallFilm: { is: 'on', fraction: 0.4, time: 0.8 } }, 90, 0.3);
      expect(lambda(plant)).toBeCloseTo(1, 9);
      plant.inputs.air = air;
      const seen = speeds(plant, 250).map(() => 0);
      expect(seen.length).toBe(250);
      expect((lambda(plant) - 1) * direction).toBeGreaterThan(0.005);
    }
  });

  test('a film of nothing is no film, within rounding', () => {
    const off = speeds(plantOf({}, 90), 1500, (k) => k);
    const dry = speeds(plantOf({ wallFilm: { is: 'on', fraction: 0 } }, 90), 1500);
    dry.forEach((omega, k) => expect(Math.abs(omega / off[k]! - 1)).toBeLessThan(1e-11));
  });

  test('a lean mixture burns less and less, and not at all from its limit', () => {
    const s = on();
    expect([1, 1.4].map((l) => leanCompleteness(s, l))).toEqual([1, 1]);
    expect(leanCompleteness(s, 1.55)).toBeCloseTo(0.5, 12);
    expect([1.7, 5, Number.POSITIVE_INFINITY].map((l) => leanCompleteness(s, l))).toEqual([0, 0, 0]);
  });
});
