/** The last minute of a live run, in columns that are moved and never made anew. */
import type { LiveStretch } from '../messages.js';

const NEEDED = ['timeS', 'speedRpm', 'targetRpm', 'air', 'openingPct', 'throttlePct', 'mapKpa', 'indicatedNm', 'frictionNm', 'pumpingNm', 'loadNm', 'clutchNm', 'sparkDeg', 'vehicleKmh', 'sensedRpm', 'airGs', 'fuelKgh', 'coolantC'] as const;
/** Rows that are shown at most, and the room in which they move. */
const KEPT = 6000;
const ROOM = 3 * KEPT;

export type TapeColumns = Readonly<Record<(typeof NEEDED)[number], Float64Array>>;

export interface Tape {
  add(stretch: LiveStretch): void;
  /** Views of what is kept from a time on. */
  since(timeS: number): TapeColumns;
  clear(): void;
}

export function createTape(): Tape {
  const columns = Object.fromEntries(NEEDED.map((name) => [name, new Float64Array(ROOM)])) as Record<(typeof NEEDED)[number], Float64Array>;
  let rows = 0;
  return {
    add(stretch) {
      if (rows + stretch.rows > ROOM) {
        const from = Math.max(0, rows - KEPT);
        for (const name of NEEDED) columns[name].copyWithin(0, from, rows);
        rows -= from;
      }
      for (const name of NEEDED) columns[name].set(stretch.columns[name]!, rows);
      rows += stretch.rows;
    },
    since(timeS) {
      const times = columns.timeS;
      let [low, high] = [Math.max(0, rows - KEPT), rows];
      while (low < high) {
        const half = (low + high) >> 1;
        if (times[half]! < timeS) low = half + 1;
        else high = half;
      }
      return Object.fromEntries(NEEDED.map((name) => [name, columns[name].subarray(low, rows)])) as TapeColumns;
    },
    clear() {
      rows = 0;
    },
  };
}
