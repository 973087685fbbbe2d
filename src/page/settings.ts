/** The settings that the bench puts a knob to, and a scenario with one of them changed. */
import type { Quantity, Row, Table } from '../parameter/table.js';
import { documented, leavesUnder, type Leaf } from '../scenario/leaves.js';
import { rowsUnder, type Scenario, scenarioTableFor, shownUnit, valveRange } from '../scenario/table.js';
import { withValues } from '../scenario/vary.js';

type Loose = Readonly<Record<string, unknown>>;

interface KnobBase {
  /** As in a scenario file, such as `controller.pid.ki`. */
  readonly path: string;
  readonly meaning: string;
}

export interface NumberKnob extends KnobBase {
  readonly kind: 'number';
  /** '' for a plain number. */
  readonly unit: string;
  /** Null where it is not given, which is allowed where `mayBeAbsent`. */
  readonly value: number | null;
  readonly min: number;
  readonly max: number;
  readonly whole: boolean;
  readonly mayBeAbsent: boolean;
}

export interface ChoiceKnob extends KnobBase {
  readonly kind: 'choice';
  readonly value: string;
  readonly options: readonly string[];
}

export type Knob = NumberKnob | ChoiceKnob;

export interface KnobGroup {
  readonly name: string;
  readonly knobs: readonly Knob[];
}

/** What belongs together, in the order of a day's work. The first that a path begins with takes it. */
const GROUPS: readonly (readonly [name: string, ...prefixes: string[]])[] = [
  ['Air loop', 'controller.pid.'],
  ['Entry', 'controller.entry.'],
  ['Spark trim', 'controller.spark.rate', 'controller.spark.authority', 'controller.spark.slew', 'controller.spark.washout'],
  ['Engine', 'engine.inertia'],
  ['Valve', 'valve.'],
  ['Loads', 'controller.loads.'],
  ['Air and target', 'controller.base.', 'controller.target.', 'controller.clamp.', 'controller.openAir.', 'controller.hold'],
  ['Start', 'controller.start.'],
  ['Spark', 'controller.spark.'],
  ['More of the controller', 'controller.'],
  ['More of the engine', 'engine.'],
];

/** Kinds of valve, laws and models are another scenario, not a knob; periods and ranges are wiring. */
const FIXED = new Set(['controller.period', 'controller.range']);

function knobsOf({ path, row, value }: Leaf, air: '%' | 'step'): readonly Knob[] {
  const number = (at: string, of: Quantity, stored: number | null): NumberKnob => ({
    kind: 'number', path: at, meaning: of.meaning, unit: shownUnit(of.unit, air), min: of.min, max: of.max, whole: of.integer ?? false,
    value: stored === null ? null : Number(documented(of, stored).toPrecision(12)), mayBeAbsent: of.default === null,
  });
  if (row.kind === 'quantity') return [number(path, row, value as number | null)];
  if (row.kind === 'choice') return [{ kind: 'choice', path, meaning: row.meaning, value: String(value), options: row.options }];
  if (row.kind === 'flag') return [{ kind: 'choice', path, meaning: row.meaning, value: value === true ? 'yes' : 'no', options: ['yes', 'no'] }];
  if (row.kind !== 'curve') return [];
  const { x, y } = value as { readonly x: readonly number[]; readonly y: readonly number[] };
  return x.map((at, i) => {
    const where = `${row.x.name} ${Number(documented({ unit: row.x.unit, stored: row.stored }, at).toPrecision(6))} ${shownUnit(row.x.unit, air)}`.trim();
    return number(`${path}.${i}.1`, { kind: 'quantity', ...row.y, stored: row.stored, default: 'required', meaning: `${row.meaning}; at ${where}` }, y[i]!);
  });
}

/** Every knob of a scenario, by group; groups without any are left out. */
export function knobGroups(scenario: Scenario): readonly KnobGroup[] {
  const range = valveRange(scenario.valve);
  const { engine, valve, controller } = scenarioTableFor(range);
  const knobs = [...leavesUnder({ engine, valve, controller }, scenario as unknown as Loose)]
    .filter(({ path }) => !FIXED.has(path) && hasRow({ kind: 'group', rows: { engine, valve, controller }, meaning: '' }, scenario, path.split('.')))
    .flatMap((leaf) => knobsOf(leaf, range.unit));
  const groups = GROUPS.map(([name]) => ({ name, knobs: [] as Knob[] }));
  for (const knob of knobs) {
    const place = GROUPS.findIndex(([, ...prefixes]) => prefixes.some((prefix) => knob.path.startsWith(prefix)));
    groups[place]?.knobs.push(knob);
  }
  return groups.filter((group) => group.knobs.length > 0);
}

/** Whether a path leads to a row of its own: not to a text that tells which of several tables follows. */
function hasRow(row: Row, value: unknown, [key, ...rest]: readonly string[]): boolean {
  if (key === undefined) return true;
  if (row.kind === 'list') return hasRow(row.of, (value as readonly unknown[])[Number(key)], rest);
  const under = rowsUnder(row, row.kind === 'variant' ? String((value as Loose)[row.tag]) : undefined);
  const next = Object.hasOwn(under, key) ? under[key] : undefined;
  return next !== undefined && hasRow(next, (value as Loose)[next.as ?? key], rest);
}

/**
 * The scenario with one setting changed. @param value null takes back a number that need not be given
 * @throws RangeError saying what is allowed
 */
export function withSetting(scenario: Scenario, path: string, value: number | string | null): Scenario {
  if (typeof value === 'number') return withValues(scenario, new Map([[path, value]]));
  const rows = scenarioTableFor(valveRange(scenario.valve));
  return put({ kind: 'group', rows, meaning: '' }, scenario, path.split('.'), value, path) as Scenario;
}

function put(row: Row | undefined, before: unknown, path: readonly string[], value: string | null, whole: string): unknown {
  const [key, ...rest] = path;
  if (key === undefined) return checked(row, value, whole);
  if (row?.kind === 'list') {
    const items = before as readonly unknown[];
    if (!(Number(key) in items)) throw new RangeError(`${whole}: there is no such item`);
    return items.with(Number(key), put(row.of, items[Number(key)], rest, value, whole));
  }
  const under: Table = row === undefined ? {} : rowsUnder(row, row.kind === 'variant' ? String((before as Loose)[row.tag]) : undefined);
  const next = Object.hasOwn(under, key) ? under[key] : undefined;
  if (next === undefined) throw new RangeError(`${whole}: no such setting`);
  const field = next.as ?? key;
  return { ...(before as Loose), [field]: put(next, (before as Loose)[field], rest, value, whole) };
}

function checked(row: Row | undefined, value: string | null, whole: string): unknown {
  if (value === null) {
    if (row?.kind === 'quantity' && row.default === null) return null;
    throw new RangeError(`${whole}: a number is wanted`);
  }
  if (row?.kind === 'flag') return pick(['yes', 'no'], value, whole) === 'yes';
  if (row?.kind === 'choice') return pick(row.options, value, whole);
  throw new RangeError(`${whole}: no choice`);
}

function pick(options: readonly string[], value: string, whole: string): string {
  if (!options.includes(value)) throw new RangeError(`${whole}: ${value} is none of ${options.join(', ')}`);
  return value;
}
