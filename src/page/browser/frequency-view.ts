/** Margins as a table and in words, and the loops against frequency: gain above, phase below, each line named. */
import uPlot from 'uplot';
import { formatNumber } from '../../report/numbers.js';
import type { Frequency, LoopLine } from '../frequency.js';
import type { MarginName } from '../../linear/margins.js';
import { boxed, el } from './dom.js';
import { nameLines } from './line-names.js';
import { colour, dashOf, inkOf, onLook, type Tone } from './look.js';
import type { Strip } from './strips.js';

const TONES: readonly Tone[] = ['speed', 'second', 'third'];
const FLOOR_DB = -40;
const FLOOR_DEG = -360;
const FONT = '12px system-ui, sans-serif';

const hertz = (omega: number): string => formatNumber(omega / (2 * Math.PI), 'Hz');
const three = (value: number): string => String(Number(value.toPrecision(3)));
const HEADS: readonly (readonly [name: MarginName, head: string, write: (value: number) => string])[] = [
  ['gainMargin', 'gains may grow, ×', three],
  ['gainMarginAt', 'then hunts at, Hz', hertz],
  ['phaseMarginDeg', 'phase margin, °', (value) => formatNumber(value, '°BTDC')],
  ['delayMarginS', 'delay margin, ms', (value) => String(Math.round(1e3 * value))],
  ['ms', 'largest |S|, Ms', three],
  ['crossover', 'crosses at, Hz', hertz],
];

/** Room of each loop that acts. */
export function marginsTable({ loops }: Frequency, label: string): HTMLElement {
  const rows = loops.map(({ name, numbers, reasons }) =>
    el('tr', {}, el('th', { scope: 'row' }, name), ...HEADS.map(([key, , write]) => {
      const value = numbers[key];
      const reason = reasons[key] ?? 'not there';
      return value === null ? el('td', { class: 'absent', title: reason }, el('span', { 'aria-hidden': 'true' }, '–'), el('span', { class: 'unseen' }, `none: ${reason}`)) : el('td', { class: 'number' }, write(value));
    })));
  return boxed(label, el('table', {}, el('thead', {}, el('tr', {}, el('th', { scope: 'col' }, 'loop'), ...HEADS.map(([, head]) => el('th', { scope: 'col', class: 'number' }, head)))), el('tbody', {}, ...rows)));
}

export interface FrequencyView {
  show(frequency: Frequency | string): void;
}

/** @param plots whether the loops are drawn beside the table */
export function createFrequencyView(host: HTMLElement, plots: boolean): FrequencyView {
  let charts: uPlot[] = [];
  onLook(() => {
    for (const chart of charts) chart.redraw(false, true);
  });
  new ResizeObserver(() => {
    for (const chart of charts) chart.setSize({ width: widthOf(host), height: chart.height });
  }).observe(host);
  return {
    show(frequency) {
      for (const chart of charts) chart.destroy();
      charts = [];
      if (typeof frequency === 'string') {
        host.replaceChildren(el('p', {}, `No linear model here: ${frequency}.`));
        return;
      }
      const words = el('ul', { class: frequency.stable === true ? 'words' : 'words bad' }, ...frequency.words.map((text) => el('li', {}, text)));
      host.replaceChildren(words, ...(frequency.loops.length === 0 ? [] : [marginsTable(frequency, plots ? 'Margins of the run that is drawn' : 'Margins with the settings of the bench')]));
      if (!plots || frequency.lines.length === 0) return;
      const [above, below] = [el('div', { role: 'img', 'aria-label': 'Bode plot: gain of each loop against frequency' }), el('div', { role: 'img', 'aria-label': 'Bode plot: phase of each loop against frequency' })];
      host.append(above, below);
      charts = [
        chart(above, widthOf(host), frequency.lines, { title: 'gain of the open loop', unit: 'dB', floor: FLOOR_DB, ceiling: 40, level: 0, of: ({ db }) => db }, false),
        chart(below, widthOf(host), frequency.lines, { title: 'phase', unit: '°', floor: FLOOR_DEG, ceiling: 0, level: -180, of: ({ deg }) => deg }, true),
      ];
    },
  };
}

const widthOf = (host: HTMLElement): number => Math.max(240, Math.min(1100, host.clientWidth));

interface Plot {
  readonly title: string;
  readonly unit: string;
  readonly floor: number;
  readonly ceiling: number;
  readonly level: number;
  readonly of: (line: LoopLine) => readonly number[];
}

function chart(host: HTMLElement, width: number, lines: readonly LoopLine[], plot: Plot, last: boolean): uPlot {
  const tables = lines.map((line) => [line.hz, plot.of(line).map((value) => (value < plot.floor * 1.5 ? null : value))]) as unknown as uPlot.AlignedData[];
  const data = uPlot.join(tables);
  const room = width < 560 ? 72 : 130;
  const near = lines.flatMap(({ hz, db }) => hz.filter((_, i) => Math.abs(db[i]!) < 40));
  const [from, to] = [Math.min(...near), Math.max(...near)];
  const strip: Strip = { title: plot.title, unit: plot.unit, height: 200, lines: lines.map(({ name }, i) => ({ name, tone: TONES[i % TONES.length]!, values: [] })) };
  const grid = { stroke: () => colour('rule'), width: 1 };
  return new uPlot({
    width, height: last ? 240 : 220, padding: [24, room, 0, 0], legend: { show: false }, cursor: { show: false },
    scales: { x: { time: false, distr: 3, range: () => (to > from ? [from, to] : [0.01, 25]) }, y: { range: (_, min, max) => [Math.max(plot.floor, min ?? plot.floor), Math.min(plot.ceiling, Math.max(max ?? 0, plot.level + 10))] } },
    axes: [
      { stroke: () => colour('faint'), font: FONT, grid, ticks: grid, values: (_, splits) => splits.map((hz) => (hz === null || !last ? '' : /^[1-9]e/.test(hz.toExponential()) && [1, 2, 5].includes(Number(hz.toExponential()[0])) ? `${Number(hz.toPrecision(2))}` : '')), size: last ? 36 : 6, ...(last ? { label: 'Hz', labelSize: 16, labelFont: FONT } : {}) },
      { stroke: () => colour('faint'), font: FONT, size: 58, grid, ticks: { show: false }, ...(plot.unit === '°' ? { incrs: [15, 30, 45, 90, 180] } : {}) },
    ],
    series: [{}, ...lines.map((line, i): uPlot.Series => ({ label: line.name, stroke: () => inkOf(TONES[i % TONES.length]!), dash: dashOf(i === 0 ? 'speed' : i === 1 ? 'target' : 'third'), width: 1.75, spanGaps: true, points: { show: false } }))],
    hooks: {
      draw: [(self) => {
        const y = self.valToPos(plot.level, 'y', true);
        const { ctx, bbox } = self;
        if (y > bbox.top && y < bbox.top + bbox.height) {
          ctx.save();
          ctx.strokeStyle = colour('ink');
          ctx.setLineDash([2, 4]);
          ctx.beginPath();
          ctx.moveTo(bbox.left, y);
          ctx.lineTo(bbox.left + bbox.width, y);
          ctx.stroke();
          ctx.restore();
        }
        nameLines(self, strip, {}, room);
      }],
    },
  }, data, host);
}
