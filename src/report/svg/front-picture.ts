/** The front of a sweep: what cannot be bettered in one number without giving way in the other. Drawn alike by page and picture. */
import { formatMark } from '../numbers.js';
import type { PageSweep } from '../page-payload.js';
import { roundTimes } from '../scale.js';
import { label, line, px, type Shape, shape } from './drawing.js';

type Front = NonNullable<PageSweep['front']>;

/** Left, right, top and bottom of the plot itself. */
export interface Space {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** An axis as it is written: its name, and its unit where it has one. */
export const named = ({ label: name, unit }: Front['x']): string => (unit === '' ? name : `${name}, ${unit}`);

function span(values: readonly number[]): readonly [number, number] {
  const [low, high] = values.reduce(([a, b], value) => [Math.min(a, value), Math.max(b, value)] as const, [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY] as readonly [number, number]);
  const room = 0.05 * (high - low) || Math.max(0.5, 0.05 * Math.abs(high));
  return [low - room, high + room];
}

/** Other settings as faint dots, the front as a dashed line of points; axes with round numbers, named. */
export function drawFront({ x, y, points, others }: Front, { left, right, top, bottom }: Space): readonly Shape[] {
  const all = [...points, ...others];
  const [xs, ys] = [span(all.map((point) => point.x)), span(all.map((point) => point.y))];
  const toX = (value: number): number => left + ((value - xs[0]) / (xs[1] - xs[0])) * (right - left);
  const toY = (value: number): number => bottom - ((value - ys[0]) / (ys[1] - ys[0])) * (bottom - top);
  const [across, up] = [roundTimes(xs, 6), roundTimes(ys, 5)];
  const rising = [...points].sort((a, b) => a.x - b.x);
  return [
    label(named(y), left, top - 8, 'name'), label(named(x), (left + right) / 2, bottom + 34, 'name', 'middle'),
    ...across.times.flatMap((value) => [line('grid', toX(value), top, toX(value), bottom), label(formatMark(value, across.step), toX(value), bottom + 16, 'faint', 'middle')]),
    ...up.times.flatMap((value) => [line('grid', left, toY(value), right, toY(value)), label(formatMark(value, up.step), left - 6, toY(value) + 4.5, 'faint', 'end')]),
    ...others.map((point) => shape('circle', { class: 'other', cx: px(toX(point.x)), cy: px(toY(point.y)), r: 1.8 })),
    shape('polyline', { class: 'line', points: rising.map((point) => `${px(toX(point.x))},${px(toY(point.y))}`).join(' ') }),
    ...rising.map((point) => shape('circle', { class: 'point', cx: px(toX(point.x)), cy: px(toY(point.y)), r: 3.6 })),
  ];
}
