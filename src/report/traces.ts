/** A run, or several over each other, as charts on one time axis that fill a terminal and no more. */
import type { Trace } from '../loop/trace.js';
import { timeAxis, type Mark } from './axis.js';
import { drawPanel, frameOf, MOST_LINES, type Layout, type Panel, type Series } from './chart.js';
import { RUN_LINES, type LineName } from './glyphs.js';
import { loopStrip } from './loop-strip.js';
import { plural, seconds } from './numbers.js';
import { clean, cut, eventKey, wrap } from './text.js';

const LEAST_ROWS = 24;
/** Most lines for the reasons of openings that did not fit into the strip. */
const MOST_REASONS = 3;

type ColumnOf = 'timeS' | 'speedRpm' | 'targetRpm' | 'air' | 'sparkDeg' | 'atStop' | 'closed';
const column = (trace: Trace, name: ColumnOf): Float64Array => trace.columns[name].subarray(0, trace.rows);
const airTitle = 'air command';

const eventMarks = (trace: Trace): Mark[] => trace.events.map((event, i) => ({ atS: event.atS, label: eventKey(i) }));

/** The clamp as lines, where the command ran into it. */
function clampLines(trace: Trace): Series[] {
  const air = column(trace, 'air');
  const stop = column(trace, 'atStop');
  const [low, high] = trace.airLimits;
  const touched = (limit: number): boolean =>
    stop.some((at, k) => at === 1 && Math.abs((air[k] as number) - limit) <= 1e-6 * Math.max(1, high - low));
  return [high, low]
    .filter(touched)
    .map((limit) => ({ name: 'clamp', values: new Float64Array(trace.rows).fill(limit), glyph: 'points' as const }));
}

/** Speed above which a chart is cut off, in targets: a free-rev would press the idle into one row. Assumed. */
const CEILING_TARGETS = 2.5;
const ceilingOf = (traces: readonly Trace[]): number =>
  CEILING_TARGETS * traces.reduce((most, trace) => column(trace, 'targetRpm').reduce((a, b) => Math.max(a, b), most), 0);

/**
 * Speed against target, air command, spark, and when the loop was closed, on one time axis.
 *
 * @param layout `rows` is what all of it takes at most (24 at least)
 * @returns lines no wider than `layout.columns` (40 at least)
 */
export function traceCharts(trace: Trace, layout: Layout): string[] {
  const timeS = column(trace, 'timeS');
  const stallS = trace.stalled ? (trace.stallTimeS ?? trace.end.atS) : null;
  const marks = eventMarks(trace);
  const guidesS = marks.map((mark) => mark.atS);
  const panels = (rows: readonly [number, number, number]): Panel[] => [
    {
      title: 'speed',
      unit: 'rpm',
      timeS,
      rows: rows[0],
      guidesS,
      stallS,
      ceiling: ceilingOf([trace]),
      extremesOf: ['speed'],
      series: [
        { name: 'speed', values: column(trace, 'speedRpm') },
        { name: 'target', values: column(trace, 'targetRpm'), glyph: 'dashed' },
      ],
    },
    {
      title: airTitle,
      unit: trace.airUnit,
      timeS,
      rows: rows[1],
      guidesS,
      extremesOf: ['air'],
      series: [{ name: 'air', values: column(trace, 'air') }, ...clampLines(trace)],
    },
    {
      title: 'spark',
      unit: '°BTDC',
      timeS,
      rows: rows[2],
      guidesS,
      series: [{ name: 'spark', values: column(trace, 'sparkDeg') }],
    },
  ];
  if (trace.rows === 0)
    return panels([1, 1, 1]).flatMap((panel) => drawPanel(panel, frameOf([panel], layout.columns), layout.colour));

  const rows = Math.max(LEAST_ROWS, Math.floor(layout.rows));
  const rough = frameOf(panels([5, 3, 3]), layout.columns);
  const reasons = loopStrip(trace, rough, MOST_REASONS).length - 1;
  const left = rows - 3 - 1 - reasons - 2 - (marks.length > 0 ? 1 : 0);
  const small = Math.max(3, Math.floor(left / 4));
  const page = panels([left - 2 * small, small, small]);
  const frame = frameOf(page, layout.columns);
  const [strip, ...listed] = loopStrip(trace, frame, reasons);
  return [
    ...page.flatMap((panel) => drawPanel(panel, frame, layout.colour)),
    strip as string,
    ...timeAxis(frame, marks),
    ...listed,
  ];
}

/** The targets of runs as lines: one where all have the same, else none. */
function commonTarget(runs: readonly NamedTrace[]): Series[] {
  const longest = runs.reduce((a, b) => (b.trace.rows > a.trace.rows ? b : a));
  const target = column(longest.trace, 'targetRpm');
  const same = runs.every(
    ({ trace }) =>
      trace.recordS === longest.trace.recordS &&
      column(trace, 'targetRpm').every((value, k) => Math.abs(value - (target[k] as number)) < 0.5),
  );
  return same ? [{ name: 'target', values: target, timeS: column(longest.trace, 'timeS'), glyph: 'dashed' }] : [];
}

export interface NamedTrace {
  readonly name: string;
  readonly trace: Trace;
}

/** A name for each run that no other has, so that lines can be told apart by them. */
function distinct(runs: readonly NamedTrace[]): NamedTrace[] {
  const names = runs.map(({ name }) => clean(name));
  return runs.map(({ trace }, i) => ({
    trace,
    name: names.filter((name) => name === names[i]).length > 1 ? `${i + 1} ${names[i]}` : (names[i] as string),
  }));
}

/**
 * The speeds of several runs over each other, and below them their air commands, each run with its own stroke.
 *
 * Runs whose valves have different units get a chart of air each unit. At most six runs are drawn; a line says so.
 *
 * @throws RangeError if there are no runs
 */
export function overlayCharts(runs: readonly NamedTrace[], layout: Layout): string[] {
  if (runs.length === 0) throw new RangeError('nothing to lay over each other: no runs');
  const drawn = distinct(runs)
    .slice(0, MOST_LINES)
    .filter(({ trace }) => trace.rows > 0);
  const width = Math.max(40, Math.floor(layout.columns));
  const notes = [
    ...(runs.length > MOST_LINES
      ? wrap(`${plural(runs.length - MOST_LINES, 'more run')} not drawn: ${MOST_LINES} strokes at most can be told apart`, width)
      : []),
    ...drawn
      .filter(({ trace }) => trace.stalled)
      .map(({ name, trace }) => cut(`× ${name} stalls at ${seconds(trace.stallTimeS ?? trace.end.atS)}`, width)),
  ];
  if (drawn.length === 0) return ['nothing recorded', ...notes];
  const line =
    (name: 'speedRpm' | 'air') =>
    (run: NamedTrace): Series => ({
      name: run.name,
      values: column(run.trace, name),
      timeS: column(run.trace, 'timeS'),
      glyph: RUN_LINES[drawn.indexOf(run)] as LineName,
    });
  const target = commonTarget(drawn);
  const units = [...new Set(drawn.map(({ trace }) => trace.airUnit))];
  const marks = eventMarks((drawn[0] as NamedTrace).trace);
  const sameEvents = drawn.every(
    ({ trace }) => JSON.stringify(trace.events.map((event) => event.atS)) === JSON.stringify(marks.map((mark) => mark.atS)),
  );
  const shownMarks = sameEvents ? marks : [];
  const guidesS = shownMarks.map((mark) => mark.atS);
  const rows = Math.max(LEAST_ROWS, Math.floor(layout.rows));
  const left = rows - 1 - units.length - 2 - (shownMarks.length > 0 ? 1 : 0) - notes.length;
  const small = Math.max(2, drawn.length > 3 && units.length === 1 ? drawn.length : 0, Math.floor(left / (units.length + 2)));
  const empty = new Float64Array(0);
  const page: Panel[] = [
    {
      title: 'speed',
      unit: 'rpm',
      timeS: empty,
      rows: Math.max(drawn.length + target.length, left - units.length * small),
      guidesS,
      ceiling: ceilingOf(drawn.map(({ trace }) => trace)),
      series: [...drawn.map(line('speedRpm')), ...target],
      extremesOf: drawn.map(({ name }) => name),
    },
    ...units.map((unit): Panel => {
      const those = drawn.filter(({ trace }) => trace.airUnit === unit);
      return {
        title: airTitle,
        unit,
        timeS: empty,
        rows: Math.max(small, those.length),
        guidesS,
        series: those.map(line('air')),
      };
    }),
  ];
  const frame = frameOf(page, layout.columns);
  return [...page.flatMap((panel) => drawPanel(panel, frame, layout.colour)), ...timeAxis(frame, shownMarks), ...notes];
}
