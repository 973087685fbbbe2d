/** Spectra and damping against closed forms. */
import { describe, expect, it } from 'vitest';
import { decayOf, highestPeak, spectrumOf } from '../../src/identify/spectrum.js';
import { createRandom } from '../../src/numerics/random.js';

const sine = (n: number, hz: number, h: number, amplitude = 1): Float64Array => Float64Array.from({ length: n }, (_, k) => 800 + amplitude * Math.sin(2 * Math.PI * hz * k * h + 0.4));

describe('a spectrum', () => {
  it('sums to the variance of white noise, and is level', () => {
    const random = createRandom(5);
    const signal = Float64Array.from({ length: 16_384 }, () => 3 * random.normal());
    const { density, spacingHz, frequencyHz } = spectrumOf(signal, 0.05, 256);
    expect(density.reduce((sum, d) => sum + d, 0) * spacingHz).toBeCloseTo(9, 0);
    expect(frequencyHz.at(-1)).toBe(10);
    // 2 σ² h one-sided
    const middle = Array.from(density.slice(10, 110));
    expect(middle.reduce((sum, d) => sum + d, 0) / 100 / (2 * 9 * 0.05)).toBeCloseTo(1, 1);
  });

  it.each([0.31, 0.77, 1.4, 2.63])('has the peak of a sine of %s Hz at its frequency, with half its amplitude squared', (hz) => {
    const peak = highestPeak(spectrumOf(sine(2048, hz, 0.05, 30), 0.05), 0.1, 9);
    expect(peak?.frequencyHz).toBeCloseTo(hz, 2);
    expect((peak?.power as number) / 450).toBeCloseTo(1, 1);
    expect(peak?.share).toBeGreaterThan(0.98);
  });

  it('has no peak in a range that its highest bin only leads out of, nor in a signal that does not move', () => {
    const spectrum = spectrumOf(sine(2048, 1.4, 0.05), 0.05);
    expect(highestPeak(spectrum, 1.5, 2)).toBeNull();
    expect(highestPeak(spectrumOf(new Float64Array(64).fill(5), 0.05), 0.1, 9)).toBeNull();
  });

  it.each([3, 100, 256])('of 200 samples refuses segments of %s', (size) => {
    expect(() => spectrumOf(new Float64Array(200), 0.05, size)).toThrow('a power of two is wanted');
  });
});

describe('a decaying sinusoid', () => {
  const decaying = (zeta: number, wn: number, h: number, n = 60, rest = 0): Float64Array => {
    const wd = wn * Math.sqrt(1 - zeta * zeta);
    return Float64Array.from({ length: n }, (_, k) => rest + 2 * Math.exp(-zeta * wn * k * h) * Math.cos(wd * k * h + 0.3));
  };

  it('of ζ = 0.15 and 10 rad/s sampled at 20 ms is found again from six equations: σ = 1.5, ω_d = 9.8868599666', () => {
    const signal = decaying(0.15, 10, 0.02, 8);
    expect(signal[7]).toBeCloseTo(-0.1833888653108, 12);
    const found = decayOf(signal, 0.02);
    expect(found?.damping).toBeCloseTo(0.15, 8);
    expect((found?.naturalHz as number) * 2 * Math.PI).toBeCloseTo(10, 7);
    expect((found?.dampedHz as number) * 2 * Math.PI).toBeCloseTo(9.88685996664259, 7);
  });

  it.each([-0.05, 0, 0.05, 0.1, 0.3, 0.7])('of ζ = %s about a level is found again', (zeta) => {
    expect(decayOf(decaying(zeta, 8, 0.05, 40, 750), 0.05, 750)?.damping).toBeCloseTo(zeta, 8);
  });

  it('is none where nothing oscillates', () => {
    expect(decayOf(Float64Array.from({ length: 40 }, (_, k) => Math.exp(-k / 5) + Math.exp(-k / 9)), 0.05)).toBeNull();
    expect(decayOf(new Float64Array(40), 0.05)).toBeNull();
    expect(decayOf(new Float64Array(3), 0.05)).toBeNull();
  });
});
