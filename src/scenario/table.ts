/** The table of a whole scenario, put together from the rooms' own; and the same with the valve's unit worked out. */
import { controllerTable } from '../controller/parameters.js';
import { drillTable, runTable } from '../loop/parameters.js';
import type { Setup } from '../loop/setup.js';
import { group, type Row, type Table, text, type Values } from '../parameter/table.js';
import { type Unit, unitWith } from '../parameter/unit.js';
import { modelTable } from '../plant/models.js';
import type { ValveRange } from '../plant/types.js';
import { createValve, type ValveSettings, valveTable } from '../plant/valves/index.js';
import { type SheetSettings, sheetTable } from './sheet.js';
import { type Limits, limitsTable, type Scoring, scoringTable } from '../score/parameters.js';

export const scenarioTable = {
  title: text({ default: '', meaning: 'title of reports' }),
  notes: text({ default: '', meaning: 'anything worth knowing' }),
  engine: modelTable,
  valve: valveTable,
  controller: group({ rows: controllerTable, meaning: 'the idle controller' }),
  drill: group({ rows: drillTable, meaning: 'what happens in a run' }),
  run: group({ rows: runTable, meaning: 'how a run is made' }),
  limits: group({ rows: limitsTable, meaning: 'what a run is allowed' }),
  scoring: group({ rows: scoringTable, meaning: 'what a run is charged' }),
  sheet: group({ rows: sheetTable, meaning: 'how the sheet of `setup` is written' }),
} as const;

/** Keys that a file may hold, and whose content may come from another file. */
export const SECTIONS = ['engine', 'valve', 'controller', 'drill', 'run', 'limits', 'scoring', 'sheet'] as const;
export type Section = (typeof SECTIONS)[number];

/** A scenario, resolved: settings in stored units. Plain data, so that it can be sent to a worker. */
export interface Scenario extends Setup {
  readonly title: string;
  readonly notes: string;
  readonly limits: Limits;
  readonly scoring: Scoring;
  readonly sheet: SheetSettings;
  /**
   * Keys in the valve's own unit that were said and not defaulted: these keep their number when the steps of a stepper
   * change, while defaults go with them.
   */
  readonly airGiven: readonly string[];
}

/** Type of what `fill(scenarioTable, …)` gives. */
export type ScenarioValues = Values<typeof scenarioTable>;

export const isAir = (unit: Unit): boolean => unit.startsWith('air');

/** A row with everything in the valve's unit put from 0 … 100 to 0 … `full`. */
function scaleRow(row: Row, full: number): Row {
  const by = (value: number): number => (value * full) / 100;
  const axis = <A extends { readonly unit: Unit; readonly min: number; readonly max: number }>(a: A): A =>
    isAir(a.unit) ? { ...a, min: by(a.min), max: by(a.max) } : a;
  switch (row.kind) {
    case 'quantity':
      return isAir(row.unit) ? { ...axis(row), default: typeof row.default === 'number' ? by(row.default) : row.default } : row;
    case 'curve':
      return {
        ...row,
        x: axis(row.x),
        y: axis(row.y),
        default: row.default.map(([x, y]) => [isAir(row.x.unit) ? by(x) : x, isAir(row.y.unit) ? by(y) : y] as const),
      };
    case 'group':
      return { ...row, rows: scaleTable(row.rows, full) };
    case 'list':
      return { ...row, of: scaleRow(row.of, full) as typeof row.of };
    default:
      return row;
  }
}

const scaleTable = (table: Table, full: number): Table =>
  Object.fromEntries(Object.entries(table).map(([key, row]) => [key, scaleRow(row, full)]));

const scaledTables = new Map<number, typeof scenarioTable>([[100, scenarioTable]]);

/** The table of a scenario whose valve has this range; made once for each range. */
export function scenarioTableFor({ full }: ValveRange): typeof scenarioTable {
  let table = scaledTables.get(full);
  if (table === undefined) {
    table = { ...scenarioTable, controller: scaleRow(scenarioTable.controller, full) as typeof scenarioTable.controller };
    scaledTables.set(full, table);
  }
  return table;
}

/** Unit and full range of a valve. @throws RangeError when a curve of it cannot be used */
export const valveRange = (valve: ValveSettings): ValveRange => createValve(valve, 0.001).range;

/** A row's unit as a reader sees it; '' for a plain number. */
export const shownUnit = (unit: Unit, air: '%' | 'step'): string => (unit === '1' ? '' : unitWith(unit, air));

/** A number with its unit. */
export const withUnit = (number: string, unit: string): string => (unit === '' ? number : `${number} ${unit}`);

/** Rows under a row, by key: those of a group, or of the variant that a tag names. */
export function rowsUnder(row: Row | undefined, tag: string | undefined): Table {
  if (row?.kind === 'group') return row.rows;
  if (row?.kind !== 'variant') return {};
  const name = tag ?? row.default;
  return Object.hasOwn(row.options, name) ? row.options[name]! : {};
}
