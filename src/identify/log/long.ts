/** Logs of one row a reading: which column has the stamp, the name, the value and the unit. */
import { isNothing, type Notation, readingOf } from './cells.js';
import type { Layout, LogColumn } from './layout.js';
import { stampReaderOf } from './stamps.js';
import { unitOf } from './units.js';

/** One row a reading: a stamp, a name of which there are few, a number, and perhaps a unit. */
export function longOf(rows: readonly (readonly string[])[], columns: readonly LogColumn[], notation: Notation): Layout['long'] {
  const cellsOf = (c: number): string[] => rows.map((row) => row[c] ?? '').filter((cell) => !isNothing(cell));
  const isText = (cell: string): boolean => Number.isNaN(readingOf(cell, notation));
  const used = columns.map(({ index }) => index).filter((c) => cellsOf(c).length > 0);
  if (used.length < 3 || used.length > 5 || rows.length < 6) return null;
  // stamps in words are the time; of numbers, those that do not fall
  const stamped = (c: number): ReturnType<typeof stampReaderOf> => stampReaderOf(cellsOf(c), '', notation);
  const worded = used.filter((c) => stamped(c) !== null && stamped(c)?.scale === null);
  const rises = (c: number): boolean => {
    const reader = stamped(c);
    const stamps = cellsOf(c).map((cell) => reader?.read(cell) ?? Number.NaN);
    return stamps.filter((t, k) => k > 0 && t < (stamps[k - 1] as number)).length < stamps.length / 5;
  };
  const time = worded[0] ?? used.find((c) => stamped(c) !== null && rises(c));
  const texts = used.filter((c) => c !== time && !worded.includes(c) && cellsOf(c).filter(isText).length > 0.9 * rows.length);
  const names = texts.filter((c) => {
    const distinct = new Set(cellsOf(c)).size;
    return distinct >= 2 && distinct <= rows.length / 3;
  });
  const name = names[0];
  const value = used.find((c) => c !== time && !texts.includes(c) && cellsOf(c).filter(isText).length < 0.3 * rows.length);
  if (time === undefined || name === undefined || value === undefined) return null;
  const unit = texts.find((c) => c !== name && cellsOf(c).filter((cell) => unitOf(cell) !== null).length > cellsOf(c).length / 3);
  return { time, name, value, unit: unit ?? null };
}
