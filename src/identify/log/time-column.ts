/** Which column holds the time, and how its stamps run. */
import { isNothing, type Notation } from './cells.js';
import { TIME_WORDS, WEAK_TIME_WORDS } from './channels.js';
import type { ClockSettings } from './clock.js';
import { wordsOf } from './guess.js';
import type { Named } from './mapping.js';
import { type StampReader, stampReaderOf } from './stamps.js';
import { unitOf } from './units.js';

/** How well a name says that it is the time, 0 … 1. */
function named({ name, unit }: Named): number {
  const words = wordsOf(name);
  const cover = (phrases: readonly string[]): number =>
    Math.max(0, ...phrases.map((p) => (p.split(' ').every((w) => words.includes(w)) ? p.split(' ').length / words.length : 0)));
  const timed = unitOf(unit)?.of === 'time' ? 0.2 : 0;
  return Math.max(cover(TIME_WORDS), 0.8 * cover(WEAK_TIME_WORDS)) + timed;
}

/** Share of steps that do not go back, and of those that go on. */
export function runs(stamps: readonly number[]): { readonly rises: number; readonly moves: number } {
  const steps = stamps.slice(1).map((t, k) => t - (stamps[k] as number)).filter((d) => !Number.isNaN(d));
  const share = (of: (d: number) => boolean): number => steps.filter(of).length / Math.max(1, steps.length);
  return { rises: share((d) => d >= 0), moves: share((d) => d > 0) };
}

export interface TimeColumn {
  readonly index: number;
  readonly stamps: StampReader;
  /** What led to it; null when its name did. */
  readonly because: string | null;
}

/** @returns null when no column runs as time does */
export function timeColumnOf(columns: readonly Named[], rows: readonly (readonly string[])[], notation: Notation): TimeColumn | null {
  const able = columns.flatMap((column, index) => {
    const cells = rows.map((row) => row[index] ?? '').filter((cell) => !isNothing(cell));
    const stamps = stampReaderOf(cells, unitOf(column.unit)?.of === 'time' ? column.unit : '', notation);
    if (stamps === null || cells.length < rows.length / 2) return [];
    const { rises, moves } = runs(cells.map(stamps.read));
    const clock = !stamps.how.includes('second') && !stamps.how.startsWith('in ');
    return rises > 0.8 && moves > 0 ? [{ index, stamps, rises, moves, clock, score: named(column) }] : [];
  });
  const best = [...able].sort((a, b) => b.score - a.score || b.moves - a.moves)[0];
  if (best !== undefined && best.score >= 0.5) return { index: best.index, stamps: best.stamps, because: null };
  // without a name for it only what hardly ever falls, as a temperature that comes and goes does
  const running = able.filter(({ clock, rises, moves }) => clock || (rises > 0.98 && moves > 0.05)).sort((a, b) => Number(b.clock) - Number(a.clock) || b.score - a.score || b.moves - a.moves)[0];
  return running === undefined ? null : { index: running.index, stamps: running.stamps, because: 'it alone runs as time does' };
}

/** Several rows a stamp in this part of the rows, and the stamps are coarse. */
const REPEATS = 0.2;

/** How the stamps of the first rows run. @param keys what tells readings of one row apart in a log of one row a reading; null otherwise */
export function clockSettingsOf(stamps: readonly number[], keys: readonly string[] | null, daily: boolean): ClockSettings {
  // only rows one after the other share a stamp: a clock that was put back goes through the same ones again
  const counts: number[] = [];
  let run = new Map<string, number>();
  let repeats = 0;
  stamps.forEach((t, k) => {
    if (k > 0 && t !== stamps[k - 1]) {
      counts.push(...run.values());
      run = new Map();
    }
    const key = keys?.[k] ?? '';
    const count = (run.get(key) ?? 0) + 1;
    run.set(key, count);
    if (count > 1) repeats++;
  });
  counts.push(...run.values());
  counts.sort((x, y) => x - y);
  const distinct = [...new Set(stamps)].sort((a, b) => a - b);
  const steps = distinct.slice(1).map((t, k) => t - (distinct[k] as number)).sort((a, b) => a - b);
  const step = steps[steps.length >> 1] ?? 1;
  const perStamp = counts[counts.length >> 1] ?? 1;
  const coarse = repeats > REPEATS * stamps.length && distinct.length > 1 ? (steps[0] as number) : null;
  return { coarse, perStamp, step: coarse === null ? step : step / perStamp, daily };
}
