/**
 * Charts one below the other on one time axis, each line named where it ends. One cursor and one window of time for all: by
 * mouse (drag to zoom), touch (tap, pinch), keys, and the buttons beside them.
 */
import uPlot from 'uplot';
import type { OpenStretch } from '../../loop/trace.js';
import { padded } from '../../report/svg/places.js';
import { nameLines } from './line-names.js';
import { drawBands, drawPins, type Pin } from './marks.js';
import { colour, dashOf, inkOf, type Tone } from './look.js';
import { touch } from './touch.js';

export interface StripLine {
  readonly name: string;
  readonly tone: Tone;
  readonly values: ArrayLike<number | null>;
}

export interface Strip {
  readonly title: string;
  readonly unit: string;
  /** CSS pixels. */
  readonly height: number;
  /** None for the band that says when the loop is closed. */
  readonly lines: readonly StripLine[];
  /** Of a band: whose it is, where there are several runs; that of the data when not given. */
  readonly band?: { readonly name: string; readonly tone: Tone; readonly open: readonly OpenStretch[]; readonly endS: number };
}

export interface StripData {
  readonly timeS: ArrayLike<number>;
  readonly strips: readonly Strip[];
  readonly open: readonly OpenStretch[];
  readonly pins: readonly Pin[];
  /** End of what is known, s. */
  readonly endS: number;
}

export interface Window {
  readonly from: number;
  readonly to: number;
}

export interface Strips {
  readonly element: HTMLElement;
  /** @param window all of it when not given */
  show(data: StripData, window?: Window): void;
  window(): Window;
  look(window: Window): void;
  /** Puts the cursor at a row; null takes it away. */
  point(row: number | null): void;
  row(): number | null;
  redraw(): void;
}

const AXIS_WIDTH = 58;
const FONT = '12px system-ui, sans-serif';
const NARROW = 560;
/** Room for a strip's title above it, CSS pixels. */
const TITLE = 24;

/** @param onRow told the row under the cursor   @param onWindow told when the window has moved */
export function createStrips(key: string, onRow: (row: number | null) => void, onWindow: (window: Window) => void): Strips {
  const element = document.createElement('div');
  element.className = 'strips';
  const sync = uPlot.sync(key);
  let charts: uPlot[] = [];
  let data: StripData | null = null;
  let shape = '';
  let row: number | null = null;
  let seen: Window = { from: 0, to: 1 };
  let moving = false;

  const width = (): number => Math.max(240, Math.floor(element.clientWidth));
  const namesWidth = (): number => (width() < NARROW ? 64 : 104);

  const moved = (chart: uPlot): void => {
    const { min, max } = chart.scales.x ?? {};
    if (moving || min == null || max == null || (min === seen.from && max === seen.to)) return;
    look({ from: min, to: max });
    onWindow(seen);
  };
  const look = (window: Window): void => {
    moving = true;
    seen = window;
    // at once, not with the next frame: a cursor may be put by it right after
    for (const chart of charts) chart.batch(() => chart.setScale('x', { min: window.from, max: window.to }));
    moving = false;
  };

  const options = (strip: Strip, last: boolean, first: boolean): uPlot.Options => {
    const band = strip.lines.length === 0;
    const grid = { stroke: () => colour('rule'), width: 1 };
    const time: uPlot.Axis = last
      ? { stroke: () => colour('faint'), font: FONT, grid, ticks: grid, size: 34, label: 's', labelSize: 0, values: (_, splits) => splits.map((at) => `${Number(at.toFixed(6))}`) }
      : { stroke: () => colour('faint'), grid, ticks: { show: false }, size: 4, values: (_, splits) => splits.map(() => '') };
    return {
      width: width(), height: strip.height + (last ? 30 : 0) + (first ? 18 : 0) + (band ? 0 : TITLE),
      padding: [(first ? 18 : 0) + (band ? 4 : TITLE), namesWidth(), 0, 0],
      legend: { show: false },
      cursor: { sync: { key: sync.key, scales: ['x', null] }, y: false, drag: { x: true, y: false, setScale: true }, points: { show: !band, size: 6 } },
      scales: {
        x: { time: false },
        y: band ? { range: [0, 1] } : { range: (_, min, max) => padded(min, max) },
      },
      axes: [time, { stroke: () => colour('faint'), font: FONT, size: AXIS_WIDTH, grid: band ? { show: false } : grid, ticks: { show: false }, ...(band ? { values: () => [] } : {}) }],
      series: [
        {},
        ...(band ? [{ show: false }] : strip.lines.map((line): uPlot.Series => ({ label: line.name, stroke: () => inkOf(line.tone), width: line.tone === 'ghost' ? 1.25 : 1.75, dash: dashOf(line.tone), spanGaps: true, points: { show: false } }))),
      ],
      hooks: {
        drawClear: [(chart) => (band && data !== null ? drawBands(chart, (strip.band ?? data).open, (strip.band ?? data).endS) : undefined)],
        draw: [
          (chart) => {
            if (data === null) return;
            drawPins(chart, data.pins, first);
            nameLines(chart, strip, { band, first }, namesWidth());
          },
        ],
        setCursor: [(chart) => (chart === charts[0] ? tellRow(chart.cursor.idx ?? null) : undefined)],
        setScale: [(chart, name) => (name === 'x' ? moved(chart) : undefined)],
      },
    };
  };
  const tellRow = (at: number | null): void => {
    if (at === row) return;
    row = at;
    onRow(at);
  };

  const build = (next: StripData): void => {
    for (const chart of charts) chart.destroy();
    element.replaceChildren();
    charts = next.strips.map((strip, i) => {
      const host = document.createElement('div');
      host.setAttribute('role', 'img');
      host.setAttribute('aria-label', strip.lines.length === 0 ? `${strip.title}${strip.band === undefined ? '' : ` of ${strip.band.name}`}, as bands of time` : `${strip.title}${strip.unit === '' ? '' : `, ${strip.unit}`}: ${strip.lines.map(({ name }) => name).join(', ')} against time`);
      element.append(host);
      const chart = new uPlot(options(strip, i === next.strips.length - 1, i === 0), valuesOf(next, strip), host);
      touch(chart, (window) => {
        look(window);
        onWindow(window);
      }, () => seen);
      return chart;
    });
  };

  new ResizeObserver(() => {
    for (const [i, chart] of charts.entries()) {
      const strip = data?.strips[i];
      if (strip === undefined || chart.width === width()) continue;
      chart.setSize({ width: width(), height: chart.height });
    }
  }).observe(element);

  return {
    element,
    show(next, window) {
      data = next;
      const nextShape = JSON.stringify(next.strips.map(({ title, unit, height, lines }) => [title, unit, height, lines.map(({ name, tone }) => [name, tone])]));
      moving = true;
      if (nextShape !== shape) build(next);
      else for (const [i, chart] of charts.entries()) chart.setData(valuesOf(next, next.strips[i]!), false);
      shape = nextShape;
      moving = false;
      look(window ?? { from: next.timeS[0] ?? 0, to: Math.max(next.endS, (next.timeS[0] ?? 0) + 1e-3) });
    },
    window: () => seen,
    look,
    point(at) {
      const time = at === null ? undefined : data?.timeS[at];
      for (const chart of charts) chart.setCursor(time === undefined ? { left: -10, top: -10 } : { left: chart.valToPos(time, 'x'), top: 10 });
    },
    row: () => row,
    redraw() {
      for (const chart of charts) chart.redraw(false, true);
    },
  };
}

const valuesOf = ({ timeS }: StripData, { lines }: Strip): uPlot.AlignedData =>
  [timeS, ...(lines.length === 0 ? [new Float64Array(timeS.length)] : lines.map(({ values }) => values))] as unknown as uPlot.AlignedData;
