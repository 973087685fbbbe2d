/** One plot of a picture: paper, axes, lines that carry their names where they end. */
import { formatMark } from '../numbers.js';
import { roundTimes } from '../scale.js';
import { clean, cut, textWidth } from '../text.js';
import { bandPath, coursePath, coursePieces } from './course.js';
import { label, line, px, type Shape, shape } from './drawing.js';
import type { Tone } from './ink.js';
import { CELL, EDGE, WIDTH } from './picture.js';
import { apart, padded } from './places.js';

export interface PlotLine {
  readonly name: string;
  readonly tone: Tone;
  readonly x: ArrayLike<number>;
  /** What is not finite leaves a gap. */
  readonly y: ArrayLike<number>;
}

/** Where plots of a picture stand: all in one frame stand under each other. */
export interface Frame {
  readonly left: number;
  readonly right: number;
  /** Of the horizontal axis; its logarithm where that is logarithmic. */
  readonly span: readonly [from: number, to: number];
}

export interface Plot {
  readonly title: string;
  /** Of the plot alone, px. */
  readonly height: number;
  readonly lines: readonly PlotLine[];
  /** Range of values; that of the lines with some room when not given. */
  readonly range?: readonly [low: number, high: number];
  /** Distance of the marks of the vertical axis; round and few when not given. */
  readonly step?: number;
  /** A band about a line, so much up and down, behind all. */
  readonly band?: { readonly about: PlotLine; readonly half: number };
  /** Room between its title and the plot, px. */
  readonly above?: number;
  /** Drawn over the lines. */
  readonly before?: (at: Placing) => readonly Shape[];
}

/** From values to places in the picture. */
export interface Placing {
  readonly x: (value: number) => number;
  readonly y: (value: number) => number;
  readonly top: number;
  readonly bottom: number;
  readonly left: number;
  readonly right: number;
}

const LEFT = 56;
const NAME_GAP = 15;
/** Characters of a name beside a plot. */
export const MOST_NAME = 24;
/** Pixels between two marks of a vertical axis at least. */
const MARK = 34;

/** The frame that has room for the names of all lines. */
export function frameFor(names: readonly string[], span: Frame['span']): Frame {
  const widest = Math.min(MOST_NAME, Math.max(0, ...names.map((name) => textWidth(clean(name)))));
  return { left: LEFT, right: WIDTH - EDGE - (widest === 0 ? 0 : widest * CELL + 8), span };
}

export const acrossOf = ({ left, right, span: [from, to] }: Frame): ((value: number) => number) => (value) => left + ((value - from) / (to - from)) * (right - left);

export function rangeOf(lines: readonly PlotLine[], least = 0): readonly [number, number] {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const { y } of lines) {
    for (let k = 0; k < y.length; k++) if (Number.isFinite(y[k])) [low, high] = [Math.min(low, y[k]!), Math.max(high, y[k]!)];
  }
  const slack = Math.max(0, least - (high - low)) / 2;
  return low <= high ? padded(low - slack, high + slack) : [0, 1];
}

/** Values a vertical axis is marked at, and their texts. */
function marksOf([low, high]: readonly [number, number], height: number, step: number | undefined): readonly (readonly [value: number, text: string])[] {
  if (step !== undefined) {
    const first = Math.ceil(low / step - 1e-9);
    return Array.from({ length: Math.max(0, Math.floor(high / step + 1e-9) - first + 1) }, (_, k) => [(first + k) * step, formatMark((first + k) * step, step)] as const);
  }
  let marks = roundTimes([low, high], Math.max(1, Math.floor(height / MARK)));
  for (let most = Math.floor(height / MARK) + 1; marks.times.length < 2 && most < 8; most++) marks = roundTimes([low, high], most);
  return marks.times.map((value) => [value, formatMark(value, marks.step)] as const);
}

/** @param top of its title   @returns its shapes, and where it ends */
export function drawPlot(plot: Plot, frame: Frame, top: number): { readonly shapes: readonly Shape[]; readonly bottom: number; readonly at: Placing } {
  const { left, right } = frame;
  const range = plot.range ?? rangeOf(plot.lines);
  const from = top + 20 + (plot.above ?? 0);
  const bottom = from + plot.height;
  const toX = acrossOf(frame);
  const toY = (value: number): number => bottom - ((value - range[0]) / (range[1] - range[0])) * plot.height;
  const at: Placing = { x: toX, y: toY, top: from, bottom, left, right };
  const pieces = ({ x, y }: PlotLine): ReturnType<typeof coursePieces> => coursePieces(x, y, (value) => toX(value) - left, (value) => toY(value) - from);
  // an inner drawing cuts off what leaves the plot
  const inner = (...shapes: readonly Shape[]): Shape => shape('svg', { x: px(left), y: px(from), width: px(right - left), height: px(plot.height), overflow: 'hidden' }, ...shapes);
  const band = plot.band === undefined ? [] : [inner(shape('path', { class: 'band', d: bandPath(pieces(plot.band.about), (plot.band.half / (range[1] - range[0])) * plot.height) }))];
  const courses = plot.lines.map((each) => ({ tone: each.tone, d: coursePath(pieces(each)) })).filter(({ d }) => d !== '');
  return {
    bottom, at,
    shapes: [
      label(plot.title, EDGE, top + 12, 'name'),
      ...band,
      ...marksOf(range, plot.height, plot.step).flatMap(([value, text]) => [line('grid', left, toY(value), right, toY(value)), label(text, left - 6, toY(value) + 4.5, 'faint', 'end')]),
      line('axis', left, from, left, bottom), line('axis', left, bottom, right, bottom),
      inner(...courses.map(({ tone, d }) => shape('path', { class: tone, d }))),
      ...(plot.before?.(at) ?? []),
      ...names(plot.lines, at),
    ],
  };
}

/** Names at the right, where lines end or near it; none where there is one line alone, which the title names. */
function names(lines: readonly PlotLine[], { y: toY, top, bottom, right }: Placing): readonly Shape[] {
  if (lines.length < 2) return [];
  const found = lines.flatMap((each) => {
    for (let k = each.y.length - 1; k >= 0; k--) if (Number.isFinite(each.y[k])) return [{ each, y: toY(each.y[k]!) }];
    return [];
  });
  found.sort((a, b) => a.y - b.y);
  const places = apart(found.map(({ y }) => y + 4), NAME_GAP, top + 9, bottom);
  return found.map(({ each }, i) => label(cut(clean(each.name), MOST_NAME), right + 6, places[i]!, each.tone));
}

/** Round times under the lowest plot, with their unit at the last. */
export function timeMarks(frame: Frame, bottom: number): readonly Shape[] {
  const { times, step } = roundTimes(frame.span, 8);
  const toX = acrossOf(frame);
  return times.flatMap((time, i) => [line('axis', toX(time), bottom, toX(time), bottom + 4), label(`${formatMark(time, step)}${i === times.length - 1 ? ' s' : ''}`, toX(time), bottom + 17, 'faint', 'middle')]);
}
