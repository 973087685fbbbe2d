/**
 * What a sweep varies: one key and the values that it takes.
 *
 *     key=lo:hi:n        n values from lo to hi, evenly spaced: lo + i·(hi − lo)/(n − 1)
 *     key=lo:hi:n:log    n values in equal ratios: lo·(hi/lo)^(i/(n − 1))
 *     key=a,b,c          these values, in this order
 *     key=a              this one
 *
 * Both ends are the very numbers given. Values between are rounded to 15 digits, so that the number read off a table
 * (0.3, not 0.30000000000000004) is the number that ran.
 */
import type { Problem, Scenario } from '../scenario/index.js';
import { quote } from '../scenario/problem.js';
import { isUnitProblem, readPlainQuantity } from '../units/index.js';
import { createKeyFinder, type SweptKey } from './keys.js';

export type Spacing = 'linear' | 'log' | 'list';

export interface Axis {
  /** Path of the key, such as `controller.pid.ki`. */
  readonly key: string;
  /** Documented unit of the values; '' for a plain number. */
  readonly unit: string;
  readonly spacing: Spacing;
  /** In `unit`, each once. */
  readonly values: readonly number[];
}

/** Most cells of a sweep. */
export const MOST_CELLS = 1_000_000;

const FORMS = 'write key=lo:hi:n (n values, evenly spaced), key=lo:hi:n:log (in equal ratios), key=a,b,c or key=a';

const tidy = (value: number): number => Number(value.toPrecision(15));

/** n values, two at least, evenly spaced; both ends exact. */
export const linearValues = (lo: number, hi: number, n: number): number[] =>
  Array.from({ length: n }, (_, i) => (i === 0 ? lo : i === n - 1 ? hi : tidy(lo + (i * (hi - lo)) / (n - 1))));

/** n values, two at least, in equal ratios between positive ends; both ends exact. */
export const logValues = (lo: number, hi: number, n: number): number[] =>
  Array.from({ length: n }, (_, i) => (i === 0 ? lo : i === n - 1 ? hi : tidy(lo * (hi / lo) ** (i / (n - 1)))));

function parseNumber(text: string, key: SweptKey): number | string {
  if (text.trim() === '') return `a number is missing; ${FORMS}`;
  const value = readPlainQuantity(text, key.unit === '' ? '1' : key.unit);
  if (value === null) return `${quote(text)}: write plain numbers here; they are in ${key.unit}`;
  return isUnitProblem(value) ? value.problem : value;
}

function parseRange(parts: readonly string[], log: boolean, key: SweptKey): number[] | string {
  const [loText = '', hiText = '', nText = ''] = parts;
  if (parts.length !== 3) return `${parts.length} parts where lo:hi:n has 3; ${FORMS}`;
  const lo = parseNumber(loText, key);
  const hi = parseNumber(hiText, key);
  if (typeof lo === 'string') return lo;
  if (typeof hi === 'string') return hi;
  const n = Number(nText);
  if (!/^\d+$/.test(nText.trim()) || n < 2 || n > MOST_CELLS) {
    return `n is ${quote(nText) || 'missing'}; a whole number of values from 2 to ${MOST_CELLS} is wanted`;
  }
  if (!(lo < hi)) return `from ${lo} to ${hi}: the first must lie below the second`;
  if (log && lo <= 0) return `from ${lo}: equal ratios need a start above 0`;
  return (log ? logValues : linearValues)(lo, hi, n);
}

function parseList(parts: readonly string[], key: SweptKey): number[] | string {
  const values: number[] = [];
  for (const part of parts) {
    const value = parseNumber(part, key);
    if (typeof value === 'string') return value;
    values.push(value);
  }
  return values;
}

/** Why the values cannot be those of the key, or null. A range that moves from cell to cell is left to the cells. */
function refused(values: readonly number[], key: SweptKey, rangeMoves: boolean): string | null {
  const unit = key.unit === '' ? '' : ` ${key.unit}`;
  const ends = [values[0] as number, values.at(-1) as number]; // first, since these are the numbers that were written
  const outside = [...ends, ...values].find((value) => value < key.min || value > key.max);
  if (outside !== undefined && !rangeMoves) return `${outside}${unit} is outside ${key.min} … ${key.max}${unit}`;
  const seen = new Set<number>();
  for (const value of values) {
    if (key.integer && !Number.isInteger(value)) return `whole numbers are wanted; ${value} is among the values`;
    if (seen.has(value)) return `${value}${unit} is given twice`;
    seen.add(value);
  }
  return null;
}

interface Refusal {
  readonly path: string;
  readonly message: string;
}

/** @param valveVaries whether the valve is varied as well: numbers in its steps are then bounded by each cell's own */
function readAxis(text: string, find: (path: string) => SweptKey | string, valveVaries: boolean): Axis | Refusal {
  const split = text.indexOf('=');
  const path = quote((split < 0 ? text : text.slice(0, split)).trim());
  if (split < 0 || path === '') return { path, message: `no ${split < 0 ? 'values' : 'key'} in ${quote(text)}; ${FORMS}` };
  const key = find(path);
  if (typeof key === 'string') return { path, message: key };
  const given = text.slice(split + 1).trim();
  const parts = given.split(':');
  const log = parts.length > 1 && parts.at(-1)?.trim() === 'log';
  const ranged = parts.length > 1;
  const values = ranged ? parseRange(log ? parts.slice(0, -1) : parts, log, key) : parseList(given.split(','), key);
  if (typeof values === 'string') return { path, message: values };
  const message = refused(values, key, valveVaries && path.startsWith('controller.') && key.unit.startsWith('step'));
  if (message !== null) return { path, message };
  return { key: path, unit: key.unit, spacing: log ? 'log' : ranged ? 'linear' : 'list', values };
}

export type ReadAxes =
  | { readonly axes: readonly Axis[]; readonly problems: readonly [] }
  | { readonly axes: null; readonly problems: readonly Problem[] };

/** Reads what a sweep of a suite is to vary. All problems are reported together, as of `--vary`. */
export function readAxes(texts: readonly string[], scenarios: readonly Scenario[]): ReadAxes {
  const find = createKeyFinder(scenarios);
  const axes: Axis[] = [];
  const problems: Problem[] = [];
  const refuse = (path: string, message: string): number => problems.push({ file: '--vary', line: 0, column: 0, path, message });
  const valveVaries = texts.some((text) => text.trim().startsWith('valve.'));
  for (const text of texts) {
    const axis = readAxis(text, find, valveVaries);
    if ('message' in axis) refuse(axis.path, axis.message);
    else if (axes.some(({ key }) => key === axis.key)) refuse(axis.key, 'varied twice; give all its values at once');
    else axes.push(axis);
  }
  if (texts.length === 0) refuse('', `nothing to vary; ${FORMS}`);
  const cells = axes.reduce((product, axis) => product * axis.values.length, 1);
  const product = axes.map(({ values }) => values.length).join(' × ');
  if (cells > MOST_CELLS) refuse('', `${product} = ${cells} cells; at most ${MOST_CELLS}`);
  return problems.length > 0 ? { axes: null, problems } : { axes, problems: [] };
}

/**
 * Reads one axis.
 *
 * @throws RangeError saying what is wrong, what is allowed and which key is nearest
 */
export function parseAxis(text: string, scenarios: readonly Scenario[]): Axis {
  const axis = readAxis(text, createKeyFinder(scenarios), false);
  if ('message' in axis) throw new RangeError(`${axis.path}: ${axis.message}`);
  return axis;
}
