/** Every number of the row under the cursor, as a table beside the strips, and in words for those who hear the page. */
import { COLUMNS, type ColumnName } from '../../loop/trace.js';
import { formatNumber } from '../../report/numbers.js';
import type { OverRun, StripRun } from './run-strips.js';
import { el } from './dom.js';

const NAMES: Readonly<Record<Exclude<ColumnName, 'timeS' | 'closed' | 'atStop'>, string>> = {
  speedRpm: 'speed', sensedRpm: 'speed as sensed', targetRpm: 'target', air: 'air command', openingPct: 'valve opening', throttlePct: 'throttle', mapKpa: 'manifold pressure', airGs: 'air flow',
  fuelKgh: 'fuel', sparkDeg: 'spark', indicatedNm: 'indicated torque', pumpingNm: 'pumping', frictionNm: 'friction', loadNm: 'loads', clutchNm: 'driveline', vehicleKmh: 'vehicle', coolantC: 'coolant',
};

const text = (value: number | null | undefined, unit: string): string => (value == null ? '–' : formatNumber(value, unit));

export interface Readout {
  readonly element: HTMLElement;
  show(run: StripRun, over: readonly OverRun[], row: number | null): void;
}

export function createReadout(): Readout {
  const head = el('caption', {}, 'At the cursor');
  const body = el('tbody');
  const heads = el('tr');
  const said = el('p', { class: 'unseen', 'aria-live': 'polite' });
  const element = el('div', { class: 'readout box', role: 'region', 'aria-label': 'Numbers at the cursor', tabindex: 0 }, el('table', {}, head, el('thead', {}, heads), body), said);
  let saying: ReturnType<typeof setTimeout> | undefined;
  return {
    element,
    show(run, over, row) {
      const k = row ?? run.timeS.length - 1;
      const time = run.timeS[k];
      if (time === undefined) return;
      const stretch = run.open.find(({ fromS, toS }) => time >= fromS && time < toS);
      const loop = stretch === undefined ? 'closed' : `open: ${stretch.because}`;
      head.textContent = `${row === null ? 'At the end' : 'At the cursor'}, ${formatNumber(time, 's')} s`;
      heads.replaceChildren(el('th', { scope: 'col' }, 'loop'), el('td', { colspan: 1 + Math.max(1, over.length + 1) }, loop));
      body.replaceChildren(
        ...(over.length === 0 ? [] : [el('tr', {}, el('th', { scope: 'row' }, 'run'), el('td', { class: 'number' }, run.name), ...over.map(({ name }) => el('td', { class: 'number' }, name)), el('td'))]),
        ...(Object.entries(NAMES) as [keyof typeof NAMES, string][]).flatMap(([column, name]) => {
          const values = run.columns[column];
          if (values === undefined) return [];
          const unit = column === 'air' ? run.airUnit : COLUMNS[column].unit;
          return [el('tr', {}, el('th', { scope: 'row' }, name), el('td', { class: 'number' }, text(values[k], unit)), ...over.map(({ columns }) => el('td', { class: 'number' }, text(columns[column]?.[k], unit))), el('td', { class: 'unit' }, unit))];
        }),
      );
      clearTimeout(saying);
      saying = row === null ? undefined : setTimeout(() => {
        said.textContent = `${formatNumber(time, 's')} seconds: speed ${text(run.columns.speedRpm?.[k], 'rpm')} rpm, target ${text(run.columns.targetRpm?.[k], 'rpm')}, air ${text(run.columns.air?.[k], run.airUnit)}, loop ${loop}`;
      }, 400);
    },
  };
}
