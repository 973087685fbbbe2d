/** Power spectrum of an evenly sampled signal, and the frequency and damping of a decaying oscillation. */
import FFT from 'fft.js';

/** Power spectral density, one-sided: its sum times the spacing is the variance. */
export interface Spectrum {
  /** 0 … half the sampling frequency, Hz. */
  readonly frequencyHz: Float64Array;
  /** Unit² per Hz. */
  readonly density: Float64Array;
  readonly spacingHz: number;
  /** Segments averaged: each density scatters by 1/√segments of itself, a little less for their overlap. */
  readonly segments: number;
}

interface Transform {
  createComplexArray(): number[];
  realTransform(out: number[], data: ArrayLike<number>): void;
}

/** The package's own types leave out that it is called with `new`. */
const Transformer = FFT as unknown as new (size: number) => Transform;

/**
 * Welch's estimate: Hann windows that overlap by half, each less its own mean.
 *
 * @param periodS sampling period  @param size samples a segment, a power of two no greater than the signal
 * @throws RangeError for another size, or a period that is not above 0
 * Source: P. D. Welch, IEEE Trans. Audio Electroacoust. 15, 1967.
 */
export function spectrumOf(signal: Float64Array, periodS: number, size = longestSegment(signal.length)): Spectrum {
  if (!(size >= 4 && size <= signal.length && Number.isInteger(Math.log2(size)))) throw new RangeError(`segments of ${size} samples: a power of two is wanted, from 4 to the signal's ${signal.length}`);
  if (!(periodS > 0)) throw new RangeError(`period ${periodS} s: above 0 is wanted`);
  const window = Float64Array.from({ length: size }, (_, k) => 0.5 - 0.5 * Math.cos((2 * Math.PI * k) / size));
  const power = window.reduce((sum, w) => sum + w * w, 0);
  const fft = new Transformer(size);
  const out = fft.createComplexArray();
  const density = new Float64Array(size / 2 + 1);
  const piece = new Float64Array(size);
  let segments = 0;
  for (let from = 0; from + size <= signal.length; from += size / 2, segments++) {
    const mean = signal.subarray(from, from + size).reduce((sum, v) => sum + v, 0) / size;
    for (let k = 0; k < size; k++) piece[k] = (signal[from + k]! - mean) * window[k]!;
    fft.realTransform(out, piece);
    for (let k = 0; k <= size / 2; k++) density[k] = density[k]! + (out[2 * k]! ** 2 + out[2 * k + 1]! ** 2) * (k === 0 || k === size / 2 ? 1 : 2);
  }
  const spacingHz = 1 / (size * periodS);
  return {
    frequencyHz: density.map((_, k) => k * spacingHz),
    density: density.map((d) => (d * periodS) / (power * segments)),
    spacingHz,
    segments,
  };
}

/** The power of two that gives about seven half-overlapping segments; at least 4 samples. */
function longestSegment(samples: number): number {
  return Math.max(4, 2 ** Math.floor(Math.log2(Math.max(4, samples / 4))));
}

export interface Peak {
  readonly frequencyHz: number;
  /** Variance within the peak's main lobe: a sine of amplitude A has A²/2. */
  readonly power: number;
  /** Its part of the whole variance. */
  readonly share: number;
}

/** Half the width of a Hann window's main lobe, bins. */
const LOBE = 2;

/**
 * The highest peak between two frequencies, its place read from a parabola through the logarithms of three bins.
 *
 * @returns null when the signal does not move, or the range holds no peak (its highest bin is at an end, still rising)
 */
export function highestPeak({ density, spacingHz }: Spectrum, fromHz: number, toHz: number): Peak | null {
  const total = density.reduce((sum, d) => sum + d, 0);
  const first = Math.max(1, Math.ceil(fromHz / spacingHz));
  const last = Math.min(density.length - 2, Math.floor(toHz / spacingHz));
  let top = first;
  for (let k = first; k <= last; k++) if (density[k]! > density[top]!) top = k;
  if (!(total > 0) || last < first || density[top - 1]! > density[top]! || density[top + 1]! > density[top]!) return null;
  const [a, b, c] = [density[top - 1]!, density[top]!, density[top + 1]!].map((d) => Math.log(Math.max(d, Number.MIN_VALUE))) as [number, number, number];
  const curve = a - 2 * b + c;
  const offset = curve < 0 ? (a - c) / (2 * curve) : 0;
  let power = 0;
  for (let k = Math.max(0, top - LOBE); k <= Math.min(density.length - 1, top + LOBE); k++) power += density[k]! * spacingHz;
  return { frequencyHz: (top + offset) * spacingHz, power, share: power / (total * spacingHz) };
}

export interface Decay {
  /** Undamped natural frequency and damped one, Hz. */
  readonly naturalHz: number;
  readonly dampedHz: number;
  /** Damping ratio ζ: below 0 the oscillation grows. */
  readonly damping: number;
}

/**
 * Frequency and damping of a free oscillation about `rest`, from y_k = a₁ y_{k−1} + a₂ y_{k−2} by least squares: exact for a
 * sampled decaying sinusoid. Noise on y pulls it towards more damping, so filter or average first.
 *
 *     z = (a₁ ± √(a₁² + 4a₂))/2        σ = −ln|z|/h        ω_d = arg z/h        ζ = σ/√(σ² + ω_d²)
 *
 * @returns null when it does not oscillate (real roots), or fewer than four samples are given
 */
export function decayOf(signal: Float64Array, periodS: number, rest = 0): Decay | null {
  if (signal.length < 4) return null;
  let [s11, s12, s22, b1, b2] = [0, 0, 0, 0, 0];
  for (let k = 2; k < signal.length; k++) {
    const [y, y1, y2] = [signal[k]! - rest, signal[k - 1]! - rest, signal[k - 2]! - rest];
    s11 += y1 * y1;
    s12 += y1 * y2;
    s22 += y2 * y2;
    b1 += y * y1;
    b2 += y * y2;
  }
  const determinant = s11 * s22 - s12 * s12;
  if (!(determinant > 0)) return null;
  const a1 = (b1 * s22 - b2 * s12) / determinant;
  const a2 = (b2 * s11 - b1 * s12) / determinant;
  const under = a1 * a1 + 4 * a2;
  if (under >= 0) return null;
  const sigma = -Math.log(-a2) / (2 * periodS);
  const omega = Math.atan2(Math.sqrt(-under), a1) / periodS;
  const natural = Math.sqrt(sigma * sigma + omega * omega);
  return { naturalHz: natural / (2 * Math.PI), dampedHz: omega / (2 * Math.PI), damping: sigma / natural };
}
