/**
 * The course of a line on a screen: few points, none of its dips lost.
 *
 * Of the samples within a pixel the first, the lowest, the highest and the last are kept (M4: U. Jugel and others, "M4: a
 * visualization-oriented time series data aggregation", 2014); then every point that lies within a quarter of a pixel of the
 * line that is left (D. H. Douglas and T. K. Peucker, "Algorithms for the reduction of the number of points …", 1973) goes.
 */
import { px } from './drawing.js';

const WITHIN = 0.25;

type Point = readonly [x: number, y: number];

/** Samples that decide what is seen, in their order; `from` to `to` are all within one gapless stretch. */
function seen(x: ArrayLike<number>, y: ArrayLike<number>, from: number, to: number, toX: (x: number) => number): readonly number[] {
  const kept: number[] = [];
  for (let k = from; k < to; ) {
    const pixel = Math.floor(toX(x[k]!));
    let [low, high, last] = [k, k, k];
    for (; last + 1 < to && Math.floor(toX(x[last + 1]!)) === pixel; ) {
      last += 1;
      if (y[last]! < y[low]!) low = last;
      if (y[last]! > y[high]!) high = last;
    }
    for (const place of [k, Math.min(low, high), Math.max(low, high), last]) if (kept.at(-1) !== place) kept.push(place);
    k = last + 1;
  }
  return kept;
}

/** Distance of a point from the stretch between two others. */
function distance([x, y]: Point, [ax, ay]: Point, [bx, by]: Point): number {
  const [dx, dy] = [bx - ax, by - ay];
  const long = dx * dx + dy * dy;
  const share = long === 0 ? 0 : Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / long));
  return Math.hypot(x - ax - share * dx, y - ay - share * dy);
}

/** The points without which the line would be seen to differ. */
export function simplified(points: readonly Point[], within: number = WITHIN): readonly Point[] {
  if (points.length < 3) return points;
  const keep = new Uint8Array(points.length);
  keep[0] = keep[points.length - 1] = 1;
  const stretches: (readonly [from: number, to: number])[] = [[0, points.length - 1]];
  for (let stretch = stretches.pop(); stretch !== undefined; stretch = stretches.pop()) {
    const [from, to] = stretch;
    let [farthest, most] = [from, within];
    for (let k = from + 1; k < to; k++) {
      const away = distance(points[k]!, points[from]!, points[to]!);
      if (away > most) [farthest, most] = [k, away];
    }
    if (farthest === from) continue;
    keep[farthest] = 1;
    stretches.push([from, farthest], [farthest, to]);
  }
  return points.filter((_, k) => keep[k] === 1);
}

/** The line in pieces without gaps, as places on the screen; what is not finite leaves a gap. */
export function coursePieces(x: ArrayLike<number>, y: ArrayLike<number>, toX: (x: number) => number, toY: (y: number) => number): readonly (readonly Point[])[] {
  const pieces: (readonly Point[])[] = [];
  for (let from = 0; from < y.length; ) {
    if (!Number.isFinite(y[from])) {
      from += 1;
      continue;
    }
    let to = from;
    while (to < y.length && Number.isFinite(y[to])) to += 1;
    pieces.push(simplified(seen(x, y, from, to, toX).map((k): Point => [toX(x[k]!), toY(y[k]!)])));
    from = to;
  }
  return pieces;
}

const pathOf = (points: readonly Point[]): string => points.map((point) => point.map(px).join(' ')).join('L');

/** Pieces as the `d` of a path; '' when there are none. */
export const coursePath = (pieces: readonly (readonly Point[])[]): string => pieces.map((points) => `M${pathOf(points)}`).join('');

/** A band that reaches `half` pixels up and down from a line, as the `d` of a path. */
export const bandPath = (pieces: readonly (readonly Point[])[], half: number): string =>
  pieces.map((points) => `M${pathOf(points.map(([x, y]): Point => [x, y - half]))}L${pathOf(points.map(([x, y]): Point => [x, y + half]).reverse())}Z`).join('');
