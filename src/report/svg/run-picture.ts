/** A run, or several over each other, as a picture: speed in its band, when the loop is closed, air, and spark where it moves. */
import type { Trace } from '../../loop/trace.js';
import { formatNumber } from '../numbers.js';
import { clean } from '../text.js';
import { TURNS } from './ink.js';
import { label, type Shape } from './drawing.js';
import { EDGE, type Picture, sentences } from './picture.js';
import { drawPlot, frameFor, type Plot, type PlotLine, rangeOf, timeMarks } from './plot.js';
import { eventWords, loopStrip, PIN_ROOM, pins, stallMark, STRIP, uprights } from './time-marks.js';

export interface PicturedRun {
  readonly name: string;
  readonly trace: Trace;
  /** How it came out, in a sentence. */
  readonly verdict: string;
  /** Half-width of the band about the target that counts as settled, rpm. */
  readonly bandRpm: number;
}

/** Most runs that are drawn over each other. */
export const MOST_RUNS = TURNS.length;
/** Speed above which a plot is cut off, in targets: a free-rev would press the idle into a few pixels. Assumed. */
const CEILING_TARGETS = 2.5;
/** Range that fills a plot at least: a ripple must not look like hunting. */
const LEAST = { rpm: 120, air: 4, spark: 4 } as const;
/** Spark that moves less is not drawn, °. */
const STILL = 0.25;

type ColumnOf = 'timeS' | 'speedRpm' | 'targetRpm' | 'air' | 'sparkDeg';
const column = ({ columns, rows }: Trace, name: ColumnOf): Float64Array => columns[name].subarray(0, rows);
const highest = (values: Float64Array): number => values.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
const lowest = (values: Float64Array): number => values.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);

const lines = (runs: readonly PicturedRun[], of: ColumnOf, single: string): readonly PlotLine[] =>
  runs.map(({ name, trace }, i) => ({ name: runs.length === 1 ? single : name, tone: TURNS[i]!, x: column(trace, 'timeS'), y: column(trace, of) }));

/** The target where all runs have the same, with the longest run's times. */
function commonTarget(runs: readonly PicturedRun[]): readonly PlotLine[] {
  const longest = runs.reduce((a, b) => (b.trace.rows > a.trace.rows ? b : a)).trace;
  const target = column(longest, 'targetRpm');
  const same = runs.every(({ trace }) => trace.recordS === longest.recordS && column(trace, 'targetRpm').every((value, k) => Math.abs(value - target[k]!) < 0.5));
  return same ? [{ name: 'target', tone: 'target', x: column(longest, 'timeS'), y: target }] : [];
}

function speedPlot(runs: readonly PicturedRun[], above: number): Plot {
  const target = commonTarget(runs);
  const half = runs[0]!.bandRpm;
  const speeds = lines(runs, 'speedRpm', 'speed');
  const top = highest(Float64Array.from(runs.map(({ trace }) => highest(column(trace, 'speedRpm')))));
  const ceiling = CEILING_TARGETS * highest(Float64Array.from(runs.map(({ trace }) => highest(column(trace, 'targetRpm')))));
  const [low, high] = rangeOf([...target, ...speeds], LEAST.rpm);
  const cut = top > ceiling;
  return {
    title: ['speed, rpm', ...(target.length === 0 ? [] : [`band: target ± ${formatNumber(half)}`]), ...(cut ? [`goes to ${formatNumber(top, 'rpm')}`] : [])].join(' · '),
    height: 220, above, lines: [...target, ...speeds], range: [Math.max(0, low), cut ? ceiling : high],
    ...(target[0] === undefined ? {} : { band: { about: target[0], half } }),
    before: (at) => runs.flatMap(({ trace }) => (trace.stalled ? stallMark(at, trace.end.atS, column(trace, 'speedRpm').at(-1) ?? 0) : [])),
  };
}

/** One a unit of the valves: their commands do not compare. */
function airPlots(runs: readonly PicturedRun[]): readonly Plot[] {
  return [...new Set(runs.map(({ trace }) => trace.airUnit))].map((unit) => {
    const airs = lines(runs, 'air', 'air').filter((_, i) => runs[i]!.trace.airUnit === unit);
    const [low, high] = rangeOf(airs, LEAST.air);
    const floor = Math.min(...runs.map(({ trace }) => trace.airLimits[0]));
    return { title: `air command, ${unit === 'step' ? 'steps' : unit}`, height: 110, lines: airs, range: [low < floor ? floor - 0.02 * (high - floor) : low, high] };
  });
}

function sparkPlots(runs: readonly PicturedRun[]): readonly Plot[] {
  const sparks = lines(runs, 'sparkDeg', 'spark');
  if (sparks.every(({ y }) => highest(y as Float64Array) - lowest(y as Float64Array) < STILL)) return [];
  return [{ title: 'spark, °BTDC', height: 90, lines: sparks, range: rangeOf(sparks, LEAST.spark) }];
}

/**
 * The picture. Runs after the fifth are left out, and it says so.
 *
 * @throws RangeError when nothing was recorded
 */
export function runPicture(title: string, given: readonly PicturedRun[]): Picture {
  const runs = given.slice(0, MOST_RUNS);
  const endS = Math.max(...runs.map(({ trace }) => trace.end.atS));
  if (!(endS > 0) || runs.some(({ trace }) => trace.rows === 0)) throw new RangeError('nothing to draw: nothing was recorded');
  const { events } = runs[0]!.trace;
  const shared = runs.every(({ trace }) => JSON.stringify(trace.events.map(({ atS }) => atS)) === JSON.stringify(events.map(({ atS }) => atS)));
  const shown = shared || runs.length === 1 ? events : [];
  const plots = [speedPlot(runs, shown.length === 0 ? 0 : PIN_ROOM), ...airPlots(runs), ...sparkPlots(runs)];
  const frame = frameFor(plots.flatMap((plot) => (plot.lines.length > 1 ? plot.lines.map(({ name }) => name) : [])), [0, endS]);

  const told = runs.length === 1 ? [runs[0]!.verdict] : runs.map(({ name, verdict }) => `${name}: ${verdict}`);
  const head = title === '' ? [] : [label(clean(title), EDGE, 22, 'title')];
  const words = sentences([...told, ...(given.length > runs.length ? [`${given.length - runs.length} more not drawn.`] : [])], title === '' ? 18 : 44);
  const shapes: Shape[] = [...head, ...words.shapes];
  let y = words.bottom + 14;
  for (const [i, plot] of plots.entries()) {
    const first = i === 0;
    const drawn = drawPlot(plot, frame, y);
    shapes.push(...uprights(shown, drawn.at), ...drawn.shapes, ...(first ? pins(shown, drawn.at) : []));
    y = drawn.bottom + 8;
    if (!first) continue;
    for (const [k, { name, trace }] of runs.entries()) {
      shapes.push(...loopStrip({ title: k === 0 ? 'loop' : '', name: runs.length === 1 ? '' : name, tone: TURNS[k]! }, trace.open, trace.end.atS, frame, y));
      y += STRIP + 4;
    }
  }
  shapes.push(...timeMarks(frame, y - 8));
  const foot = shown.length === 0 ? { shapes: [], bottom: y + 12 } : sentences([eventWords(shown)], y + 28);
  return { title: clean(title), about: [...told, ...(shown.length === 0 ? [] : [`Events: ${eventWords(shown)}`])].map((text) => `${text}.`).join(' '), height: foot.bottom, shapes: [...shapes, ...foot.shapes] };
}
