/** What a lesson's page works out apart from drawing: which settings an exercise is not about, and two runs on one time axis. */
import type { Scenario } from '../scenario/table.js';
import { knobGroups } from './settings.js';

/** Paths of settings that differ from the exercise's start, and that it is not about: they would be another exercise. */
export function changedElsewhere(start: Scenario, now: Scenario, mayChange: readonly string[]): readonly string[] {
  const before = new Map(knobGroups(start).flatMap(({ knobs }) => knobs.map(({ path, value }) => [path, value] as const)));
  const about = (path: string): boolean => mayChange.some((allowed) => path === allowed || path.startsWith(`${allowed}.`));
  return knobGroups(now).flatMap(({ knobs }) => knobs.filter(({ path, value }) => before.get(path) !== value && !about(path)).map(({ path }) => path));
}

type Column = ArrayLike<number | null>;
export type Columns = Readonly<Record<string, Column>>;

const TERMS = ['indicatedNm', 'pumpingNm', 'frictionNm', 'loadNm', 'clutchNm'] as const;

/** Torque left over to turn the crank faster, N·m, row by row; negative slows it. */
export function spareTorque(columns: Columns): Column {
  const [indicated, ...taken] = TERMS.map((name) => columns[name]!) as [Column, ...Column[]];
  return Float64Array.from({ length: indicated.length }, (_, k) => taken.reduce((spare, column) => spare - column[k]!, indicated[k]!));
}

/** Fuel burnt for the air drawn in, over the whole run, kg/h for each g/s: two runs differ in it by mixture or by fuel cut. */
export function fuelForAir({ fuelKgh, airGs }: Columns): number {
  let [fuel, air] = [0, 0];
  for (let k = 0; k < fuelKgh!.length; k++) [fuel, air] = [fuel + fuelKgh![k]!, air + airGs![k]!];
  return air > 0 ? fuel / air : 0;
}

/** Most that a column moves. */
export function span(column: Column | undefined): number {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let k = 0; column !== undefined && k < column.length; k++) {
    const value = column[k];
    if (value != null) [low, high] = [Math.min(low, value), Math.max(high, value)];
  }
  return high >= low ? high - low : 0;
}

/** Row at a time, or the next one; the last where the run ends before. */
export function rowAt(timeS: ArrayLike<number>, atS: number): number {
  let [low, high] = [0, Math.max(0, timeS.length - 1)];
  while (low < high) {
    const half = (low + high) >> 1;
    if ((timeS[half] as number) < atS - 1e-9) low = half + 1;
    else high = half;
  }
  return low;
}
