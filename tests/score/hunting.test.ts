import { describe, expect, test } from 'vitest';
import { findHunting } from '../../src/score/hunting.js';
import { normal, sampled } from './traces.js';

const DT = 0.01;
const hunt = (speed: Float64Array) => findHunting(speed, 0, speed.length, DT, 2);
const wave = (lengthS: number, curve: (t: number) => number) => sampled(Math.round(lengthS / DT), DT, curve);

describe('hunting is found', () => {
  test.each([0.15, 0.3, 0.8, 2, 5])('in a sine of %d Hz, with its amplitude and frequency', (hz) => {
    for (const phase of [0, 1, 2.5]) {
      const got = hunt(wave(6.3 / hz, (t) => 800 + 30 * Math.sin(2 * Math.PI * hz * t + phase)));
      expect(got.peakToPeakRpm).toBeCloseTo(60, 1);
      expect((got.frequencyHz as number) / hz).toBeCloseTo(1, 4);
    }
  });

  test('in a sine on a drift', () => {
    const got = hunt(wave(10, (t) => 800 + 12 * t + 20 * Math.sin(2 * Math.PI * 0.6 * t)));
    expect(got.peakToPeakRpm).toBeCloseTo(40, 1);
    expect(got.frequencyHz).toBeCloseTo(0.6, 4);
  });

  test('in a triangular limit cycle, to the 4 % that lies beyond its ninth harmonic', () => {
    const triangle = (phase: number): number => 4 * Math.abs(phase - Math.floor(phase + 0.5)) - 1;
    const got = hunt(wave(12, (t) => 800 + 25 * triangle(0.5 * t)));
    // Fourier series of a triangle: peak 8/π² · Σ 1/n², n odd; up to 9 it is 0.9596.
    expect((got.peakToPeakRpm as number) / 50).toBeCloseTo(0.9596, 3);
    expect(got.frequencyHz).toBeCloseTo(0.5, 3);
  });

  test('under roughness, which is set aside', () => {
    let [found, sizes] = [0, 0];
    for (let seed = 1; seed <= 40; seed++) {
      const noise = normal(seed);
      const got = hunt(wave(10, (t) => 800 + 30 * Math.sin(2 * Math.PI * 0.7 * t + seed) + 10 * noise()));
      if (got.reason !== null) continue;
      found++;
      sizes += got.peakToPeakRpm as number;
      expect(got.frequencyHz).toBeCloseTo(0.7, 2);
    }
    expect(found).toBe(40);
    expect(Math.abs(sizes / found - 60)).toBeLessThan(2); // raw extremes would give about 110
  });

  test('when it only comes out after a large first swing has died away', () => {
    const got = hunt(wave(20, (t) => 800 - 200 * Math.exp(-t) + 15 * Math.sin(2 * Math.PI * 0.8 * t)));
    expect(Math.abs((got.peakToPeakRpm as number) - 30)).toBeLessThan(1);
  });

  test('in a growing oscillation', () => {
    expect(hunt(wave(10, (t) => 800 + 5 * Math.exp(0.2 * t) * Math.sin(2 * Math.PI * t))).reason).toBeNull();
  });

  test('in the rows asked for and no others', () => {
    const speed = wave(20, (t) => (t < 10 ? 800 : 800 + 30 * Math.sin(2 * Math.PI * 0.7 * t)));
    expect(findHunting(speed, 0, 1000, DT, 2).reason).toContain('less than 2 rpm');
    expect(findHunting(speed, 1000, 2000, DT, 2).peakToPeakRpm).toBeCloseTo(60, 1);
  });
});

describe('nothing is called hunting in', () => {
  test.each([0.05, 0.1, 0.3, 0.6])('a transient of damping ratio %d', (zeta) => {
    for (const cycles of [3.5, 5, 8]) {
      const omega = 2 * Math.PI * 0.4;
      const got = hunt(wave(cycles / 0.4, (t) => 800 - 150 * Math.exp(-zeta * omega * t) * Math.cos(omega * Math.sqrt(1 - zeta * zeta) * t)));
      expect(got.peakToPeakRpm).toBeNull();
      expect(got.frequencyHz).toBeNull();
      expect(got.reason).not.toBeNull();
    }
  });

  test.each([
    ['a constant', () => 800, 'less than 2 rpm'],
    ['a ramp', (t: number) => 800 + 20 * t, 'less than 2 rpm'],
    ['an exponential', (t: number) => 800 + 200 * Math.exp(-t / 2), 'repeats itself'],
    ['one cycle and a half', (t: number) => 800 + 30 * Math.sin(2 * Math.PI * 0.15 * t), ''],
    ['a sine of 1 rpm peak to peak', (t: number) => 800 + 0.5 * Math.sin(2 * Math.PI * t), 'less than 2 rpm'],
  ] as const)('%s', (_, curve, reason) => {
    const got = hunt(wave(10, curve));
    expect(got.peakToPeakRpm).toBeNull();
    expect(got.reason).toContain(reason);
  });

  test('a stretch too short to tell', () => {
    expect(hunt(wave(0.2, (t) => 800 + 30 * Math.sin(40 * t))).reason).toContain('too short');
    expect(findHunting(new Float64Array(0), 0, 0, DT, 2).reason).toContain('too short');
    expect(findHunting(new Float64Array(10), 8, 5, DT, 2).reason).toContain('too short');
  });

  // Roughness reaches the speed through the inertia and the loop: white, first-order and second-order noise.
  test.each([
    { name: 'white noise', hz: 0, zeta: 0, lagS: 0 },
    { name: 'noise through a lag of 0.3 s', hz: 0, zeta: 0, lagS: 0.3 },
    { name: 'noise through a lag of 1 s', hz: 0, zeta: 0, lagS: 1 },
    { name: 'noise through 0.4 Hz, ζ = 0.4', hz: 0.4, zeta: 0.4, lagS: 0 },
    { name: 'noise through 1 Hz, ζ = 0.3', hz: 1, zeta: 0.3, lagS: 0 },
    { name: 'noise through 1 Hz, ζ = 0.2', hz: 1, zeta: 0.2, lagS: 0 },
  ])('more than 2 % of stretches of $name', ({ hz, zeta, lagS }) => {
    let called = 0;
    const seeds = 300;
    for (let seed = 1; seed <= seeds; seed++) {
      const noise = normal(7919 * seed);
      const speed = new Float64Array(seed % 2 === 0 ? 400 : 900);
      let [x, v] = [0, 0];
      for (let i = -1500; i < speed.length; i++) {
        const w = 100 * noise();
        if (hz > 0) {
          const omega = 2 * Math.PI * hz;
          v += DT * (omega * omega * (w - x) - 2 * zeta * omega * v);
          x += DT * v;
        } else x = lagS > 0 ? x + (DT / lagS) * (w - x) : w / 10;
        if (i >= 0) speed[i] = 800 + x;
      }
      if (hunt(speed).reason === null) called++;
    }
    expect(called / seeds).toBeLessThanOrEqual(0.02);
  });
});
