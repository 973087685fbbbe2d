/** Closed-loop stability from the open loop alone. */
import { add, complex, magnitude, phase, divide } from './complex.js';
import type { Course } from './trace-response.js';

export interface Verdict {
  readonly stable: boolean | null;
  /** Closed-loop poles that grow; null where they could not be counted. */
  readonly unstablePoles: number | null;
  /** Why not counted. */
  readonly reason: string | null;
}

const ONE = complex(1);

/**
 * Counts the unstable closed-loop poles by Nyquist's criterion: Z = P + n/2 − Δ/π, where Δ is the turn of 1 + L from
 * frequency zero to the end, n the number of integrators (passed on the right, so not among P) and P the number of unstable
 * poles of L. Source: H. Nyquist, Bell System Technical Journal 11 (1932) 126; with integrators e.g. K. Ogata, Modern
 * Control Engineering, section "Nyquist stability criterion".
 *
 * At both ends the turn is rounded to what it tends to: to a multiple of π/2 (of 1/ωⁿ, or of a constant) at the low end, of
 * π at the high.
 */
export function nyquistVerdict(course: Course, openLoopUnstablePoles: number): Verdict {
  const { points, integrators } = course;
  const shifted = points.map(({ loop }) => add(ONE, loop));
  const [first, last, before] = [shifted[0], shifted.at(-1), points.at(-1)?.loop];
  if (first === undefined || last === undefined || before === undefined) throw new RangeError('Nyquist: no points');
  const unknown = (reason: string): Verdict => ({ stable: null, unstablePoles: null, reason });
  if (shifted.some((value) => magnitude(value) < 1e-9)) return { stable: false, unstablePoles: null, reason: 'the loop passes through −1: a pole on the axis' };
  let turned = phase(first);
  const start = integrators > 0 ? Math.round(turned / (Math.PI / 2)) * (Math.PI / 2) : first.re < 0 ? Math.sign(turned || 1) * Math.PI : 0;
  for (let i = 1; i < shifted.length; i++) {
    turned += phase(divide(shifted[i] as typeof first, shifted[i - 1] as typeof first));
  }
  if (!course.endsAtNyquist && magnitude(before) >= 1) {
    const earlier = points[Math.max(0, points.length - 2)]?.loop ?? before;
    const steady = Math.abs(Math.sin(phase(before))) < 0.05 && magnitude(earlier) >= 0.98 * magnitude(before);
    if (!steady) {
      const highest = 'the loop gain is still above 1 at the highest frequency';
      // Turned backwards several times over, as a delay does with too much gain: whatever follows will not turn it back.
      return start - turned > 4 * Math.PI ? { stable: false, unstablePoles: null, reason: `${highest}, after many turns around −1` } : unknown(highest);
    }
  }
  const end = Math.round(turned / Math.PI) * Math.PI;
  const count = openLoopUnstablePoles + integrators / 2 - (end - start) / Math.PI;
  const whole = Math.round(count);
  if (Math.abs(count - whole) > 1e-6 || whole < 0)
    return unknown(`the turn of 1 + L fits no whole number of unstable poles with ${openLoopUnstablePoles} in the open loop`);
  return { stable: whole === 0, unstablePoles: whole, reason: null };
}
