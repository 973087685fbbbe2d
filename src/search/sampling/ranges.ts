/**
 * Reads what a sample varies.
 *
 *     key=lo:hi        evenly likely from lo to hi
 *     key=lo:hi:log    its logarithm evenly likely, between positive ends
 */
import type { Problem, Scenario } from '../../scenario/index.js';
import { quote } from '../../scenario/problem.js';
import { isUnitProblem, readPlainQuantity } from '../../units/index.js';
import { createKeyFinder, type SweptKey } from '../keys.js';
import type { Range } from './range.js';

export type { Range } from './range.js';

const FORMS = 'write key=lo:hi, or key=lo:hi:log for equal ratios';

function readRange(text: string, find: (path: string) => SweptKey | string): Range | { readonly path: string; readonly message: string } {
  const split = text.indexOf('=');
  const path = quote((split < 0 ? text : text.slice(0, split)).trim());
  const refuse = (message: string): { readonly path: string; readonly message: string } => ({ path, message });
  if (split < 0 || path === '') return refuse(`no ${split < 0 ? 'range' : 'key'} in ${quote(text)}; ${FORMS}`);
  const key = find(path);
  if (typeof key === 'string') return refuse(key);
  const parts = text.slice(split + 1).split(':').map((part) => part.trim());
  const log = parts.at(-1) === 'log';
  const ends = log ? parts.slice(0, -1) : parts;
  if (ends.length !== 2) return refuse(`${quote(text.slice(split + 1))}: a range is wanted here, and no list or grid; ${FORMS}`);
  const numbers: number[] = [];
  for (const end of ends) {
    if (end === '') return refuse(`a number is missing; ${FORMS}`);
    const value = readPlainQuantity(end, key.unit === '' ? '1' : key.unit);
    if (value === null) return refuse(`${quote(end)}: write plain numbers here; they are in ${key.unit}`);
    if (isUnitProblem(value)) return refuse(value.problem);
    numbers.push(value);
  }
  const [lo, hi] = numbers as [number, number];
  const unit = key.unit === '' ? '' : ` ${key.unit}`;
  const outside = [lo, hi].find((value) => value < key.min || value > key.max);
  if (outside !== undefined) return refuse(`${outside}${unit} is outside ${key.min} … ${key.max}${unit}`);
  if (!(lo < hi)) return refuse(`from ${lo} to ${hi}: the first must lie below the second`);
  if (log && lo <= 0) return refuse(`from ${lo}: equal ratios need a start above 0`);
  const broken = key.integer ? [lo, hi].find((value) => !Number.isInteger(value)) : undefined;
  if (broken !== undefined) return refuse(`whole numbers are wanted; ${broken} is an end of the range`);
  return { key: path, unit: key.unit, spacing: log ? 'log' : 'linear', lo, hi, integer: key.integer };
}

export type ReadRanges =
  | { readonly ranges: readonly Range[]; readonly problems: readonly [] }
  | { readonly ranges: null; readonly problems: readonly Problem[] };

/** Reads what a sample of a suite is to vary. All problems are reported together, as of `--vary`. */
export function readRanges(texts: readonly string[], scenarios: readonly Scenario[]): ReadRanges {
  const find = createKeyFinder(scenarios);
  const ranges: Range[] = [];
  const problems: Problem[] = [];
  const refuse = (path: string, message: string): number => problems.push({ file: '--vary', line: 0, column: 0, path, message });
  for (const text of texts) {
    const range = readRange(text, find);
    if ('message' in range) refuse(range.path, range.message);
    else if (ranges.some(({ key }) => key === range.key)) refuse(range.key, 'varied twice; one range is wanted');
    else ranges.push(range);
  }
  if (texts.length === 0) refuse('', `nothing to vary; ${FORMS}`);
  return problems.length > 0 ? { ranges: null, problems } : { ranges, problems: [] };
}
