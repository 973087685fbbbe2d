/** How far a signal goes along with the wave of another, and at what angle; and the shape of a wave. */
import { fitWave } from '../../score/harmonics.js';

export interface Part {
  /** Amplitude of the wave and its angle against the error's, degrees; share of the signal's movement that goes with the error. */
  readonly amplitude: number;
  readonly angle: number;
  readonly share: number;
}

/** The wave of a few cycles: roughness makes an idle's phase wander, so that a long stretch is no sine. */
function waveOf(values: Float64Array, cyclesPerRow: number): { readonly re: number; readonly im: number; readonly power: number } {
  const drift = fitWave(values, 0, 0).residual;
  const { cos, sin } = fitWave(values, cyclesPerRow, 1);
  return { re: cos[0] as number, im: -(sin[0] as number), power: (2 * drift) / values.length };
}

const CYCLES = 3;

/** A signal's wave against that of the error, over pieces of three cycles each. */
export function partOf(values: Float64Array | null, error: Float64Array, cyclesPerRow: number): Part | null {
  if (values === null || values.some((v) => Number.isNaN(v))) return null;
  const piece = Math.min(values.length, Math.max(8, Math.round(CYCLES / cyclesPerRow)));
  let [re, im, ee, cc, power] = [0, 0, 0, 0, 0];
  for (let from = 0; from + piece <= values.length; from += piece) {
    const [own, e] = [waveOf(values.subarray(from, from + piece), cyclesPerRow), waveOf(error.subarray(from, from + piece), cyclesPerRow)];
    // against −error, which is target less speed
    re -= own.re * e.re + own.im * e.im;
    im -= own.im * e.re - own.re * e.im;
    ee += e.re ** 2 + e.im ** 2;
    cc += own.re ** 2 + own.im ** 2;
    power += own.power;
  }
  if (!(ee > 0 && power > 0)) return { amplitude: 0, angle: 0, share: 0 };
  const pieces = Math.floor(values.length / piece);
  return { amplitude: Math.sqrt(cc / pieces), angle: (Math.atan2(im, re) * 180) / Math.PI, share: (re * re + im * im) / (ee * power) };
}

/**
 * The third harmonic that keeps its place on the fundamental, over the fundamental. What a loop makes is near a sine, for the
 * engine's inertia and manifold take the rest off; a load that comes and goes kicks the speed twice a period, and leaves
 * half of the fundamental and more.
 */
export function thirdHarmonic(error: Float64Array, cyclesPerRow: number): number {
  const piece = Math.min(error.length, Math.round(CYCLES / cyclesPerRow));
  let [re, im, first] = [0, 0, 0];
  for (let from = 0; from + piece <= error.length; from += piece) {
    const { cos, sin } = fitWave(error.subarray(from, from + piece), cyclesPerRow, 3);
    const [r1, i1, r3, i3] = [cos[0] as number, -(sin[0] as number), cos[2] as number, -(sin[2] as number)];
    const turned = 3 * Math.atan2(i1, r1);
    re += r3 * Math.cos(turned) + i3 * Math.sin(turned);
    im += i3 * Math.cos(turned) - r3 * Math.sin(turned);
    first += Math.hypot(r1, i1);
  }
  return first > 0 ? Math.hypot(re, im) / first : 0;
}
