/** The box that an optimiser searches, seen from inside as the unit cube, so that all its sides count alike. */

export interface Box {
  readonly lower: readonly number[];
  /** Above `lower` in every place. */
  readonly upper: readonly number[];
}

/** @throws RangeError if the box has no sides, or one that is not finite or has no length */
export function checkBox({ lower, upper }: Box): void {
  if (lower.length === 0 || lower.length !== upper.length) throw new RangeError(`box: ${lower.length} lower and ${upper.length} upper bounds`);
  lower.forEach((lo, i) => {
    const hi = upper[i] as number;
    if (!(Number.isFinite(lo) && Number.isFinite(hi) && lo < hi)) throw new RangeError(`box: side ${i} from ${lo} to ${hi}; the first must lie below the second`);
  });
}

/** A place of the unit cube in the box; its faces are the very bounds. */
export const intoBox = ({ lower, upper }: Box, place: readonly number[]): number[] =>
  place.map((u, i) => {
    const [lo, hi] = [lower[i] as number, upper[i] as number];
    if (u <= 0) return lo;
    return u >= 1 ? hi : Math.min(hi, Math.max(lo, lo + u * (hi - lo)));
  });

/** @throws RangeError if the point is not of the box */
export function fromBox({ lower, upper }: Box, point: readonly number[]): number[] {
  if (point.length !== lower.length) throw new RangeError(`start: ${point.length} numbers in a box of ${lower.length} sides`);
  return point.map((x, i) => {
    const [lo, hi] = [lower[i] as number, upper[i] as number];
    if (!(x >= lo && x <= hi)) throw new RangeError(`start: number ${i}, ${x}, is outside ${lo} … ${hi}`);
    return (x - lo) / (hi - lo);
  });
}

/** A place anywhere, by reflection at the faces in the unit cube: its mirror images tile all space. */
export function mirrored(u: number): number {
  const rest = u - 2 * Math.floor(u / 2);
  return rest > 1 ? 2 - rest : rest;
}

/** Stands for the cost of a point that has none: above any other, and kept by JSON, which Infinity is not. */
export const NO_COST = Number.MAX_VALUE;

/** A cost for comparing: what is not finite comes last. */
export const comparable = (cost: number): number => (Number.isFinite(cost) ? cost : NO_COST);

/** The best point met, with its cost. */
export interface Best {
  readonly point: readonly number[];
  readonly cost: number;
}
