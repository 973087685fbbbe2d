/** The time axis that the charts of a page share: line with ticks, round times, and the letters of the events. */
import { columnOf } from './buckets.js';
import { formatMark } from './numbers.js';
import { roundTimes } from './scale.js';
import { cut } from './text.js';

/** Where the plots of a page stand: cells for labels at the left, for the plot, and for names at the right. */
export interface Frame {
  readonly left: number;
  readonly plot: number;
  readonly right: number;
  readonly spanS: readonly [number, number];
}

export interface Mark {
  readonly atS: number;
  readonly label: string;
}

/** Puts labels in a line, each at its column or the next free one near it; `+` where one found no room. */
function place(marks: readonly Mark[], frame: Frame): string {
  const line = new Array<string>(frame.plot).fill(' ');
  for (const mark of [...marks].sort((a, b) => a.atS - b.atS)) {
    if (mark.atS < frame.spanS[0] - 1e-9 || mark.atS > frame.spanS[1] + 1e-9) continue;
    const column = columnOf(mark.atS, frame.spanS, frame.plot);
    const label = [...mark.label];
    const start = Array.from({ length: 4 }, (_, shift) => Math.min(column + shift, frame.plot - label.length)).find(
      (at) => at >= 0 && label.every((_, i) => line[at + i] === ' '),
    );
    if (start === undefined) line[column] = '+';
    else label.forEach((character, i) => {
      line[start + i] = character;
    });
  }
  return line.join('');
}

/** Lines under the lowest chart: axis, times, and the marks when there are any. */
export function timeAxis(frame: Frame, marks: readonly Mark[]): string[] {
  const { spanS, plot, left } = frame;
  const length = spanS[1] - spanS[0];
  let ticks = roundTimes(spanS, Math.max(1, Math.floor(plot / 8)));
  const labels = (): string[] => ticks.times.map((time) => formatMark(time, ticks.step));
  for (
    let most = Math.floor(plot / 8) - 1;
    most >= 1 && Math.max(...labels().map((label) => label.length)) + 2 > (ticks.step / length) * plot;
    most--
  ) {
    ticks = roundTimes(spanS, most);
  }
  const line = new Array<string>(plot).fill('─');
  const under = new Array<string>(plot + frame.right).fill(' ');
  ticks.times.forEach((time, i) => {
    const column = columnOf(time, spanS, plot);
    const label = i === ticks.times.length - 1 ? `${labels()[i]} s` : (labels()[i] as string);
    line[column] = '┬';
    const start = Math.max(0, Math.min(column - Math.floor((label.length - 1) / 2), under.length - label.length));
    [...label].forEach((character, k) => {
      under[start + k] = character;
    });
  });
  const indent = ' '.repeat(left);
  const lines = [`${indent}└${line.join('')}`, `${indent} ${under.join('')}`.trimEnd()];
  if (marks.length > 0) {
    const name = cut('event', Math.max(0, left));
    lines.push(`${name.padStart(left)} ${place(marks, frame)}`.trimEnd());
  }
  return lines;
}
