/** Traces made by hand from closed forms, and seeded noise. */
import { COLUMNS, type ColumnName, type Columns, type Trace, type TraceEvent } from '../../src/loop/trace.js';

type Curve = (t: number) => number;

export interface Hand {
  readonly lengthS?: number;
  readonly recordS?: number;
  readonly columns?: Partial<Record<ColumnName, Curve>>;
  readonly events?: readonly Partial<TraceEvent>[];
  /** Time of the stall; the trace ends there. */
  readonly stallS?: number;
  readonly engine?: Trace['end']['engine'];
  readonly open?: Trace['open'];
}

const DEFAULTS: Partial<Record<ColumnName, Curve>> = { speedRpm: () => 800, targetRpm: () => 800, openingPct: () => 30, sparkDeg: () => 10, closed: () => 1 };

/** A trace of a steady 800 rpm, overlaid with curves of time in the columns given. */
export function handTrace({ lengthS = 10, recordS = 0.01, columns = {}, events = [], stallS, engine = 'running', open = [] }: Hand = {}): Trace {
  const endS = stallS ?? lengthS;
  const rows = Math.round(endS / recordS) + 1;
  const curves = { ...DEFAULTS, ...columns, timeS: (t: number) => t };
  const filled = Object.fromEntries(
    (Object.keys(COLUMNS) as ColumnName[]).map((name) => {
      // Longer than the rows used, as a recorder's columns may be.
      const column = new Float64Array(rows + 3).fill(Number.NaN);
      for (let k = 0; k < rows; k++) column[k] = curves[name]?.(k * recordS) ?? 0;
      return [name, column];
    }),
  ) as unknown as Columns;
  return {
    rows,
    recordS,
    columns: filled,
    airUnit: '%',
    airLimits: [0, 100],
    events: events.map((e) => ({ atS: 2, engagedS: e.atS ?? 2, name: 'load on', what: '8 N·m', ...e })),
    open,
    end: { atS: endS, engine: stallS === undefined ? engine : 'stalled', because: stallS === undefined ? 'the time is over' : 'the speed fell below 300 rpm' },
    stalled: stallS !== undefined,
    stallTimeS: stallS ?? null,
    stallRpm: 300,
  };
}

/** Seeded uniform numbers in 0 … 1 (a Weyl sequence, mixed). */
export function uniform(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let x = Math.imul(state ^ (state >>> 15), state | 1);
    x ^= x + Math.imul(x ^ (x >>> 7), x | 61);
    return ((x ^ (x >>> 14)) >>> 0) / 4294967296;
  };
}

/** Seeded normal numbers (Box and Muller 1958). */
export function normal(seed: number): () => number {
  const u = uniform(seed);
  return () => Math.sqrt(-2 * Math.log(1 - u())) * Math.cos(2 * Math.PI * u());
}

/** `n` values of a function of time, every `dt`. */
export const sampled = (n: number, dt: number, curve: Curve): Float64Array => Float64Array.from({ length: n }, (_, i) => curve(i * dt));
