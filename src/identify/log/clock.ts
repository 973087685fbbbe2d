/**
 * Puts the rows of a log in order of time: repeated, duplicate, backward and stray stamps.
 *
 * Rows with the same stamp are taken together. Where the stamps of a log are coarse (whole seconds for several rows each) the
 * rows are spread evenly over the time to the next stamp. Otherwise the rows are one: readings that are missing in the first
 * come from the others, and where two differ the first is kept. One stamp before the last is left out as out of order; where
 * the next goes on from there, the clock was put back: what follows is a new stretch, one step after. One stamp far ahead,
 * after which the old time goes on, is left out as well.
 */

export interface Row {
  readonly line: number;
  /** Stamp, s. */
  readonly t: number;
  /** Readings by series, NaN for none; in a log of one row a reading null, and the one reading in `value`. */
  readonly values: Float64Array | null;
  readonly series: number;
  readonly value: number;
}

export interface ClockFacts {
  duplicates: number;
  /** Same stamp, other values. */
  conflicts: number;
  /** Out of order, left out. */
  backward: number;
  /** Far ahead for one stamp, left out. */
  stray: number;
  /** Where the clock was put back, and by how much, s; `at` is the place in the log's own time. */
  readonly jumps: { readonly line: number; readonly at: number; readonly byS: number }[];
}

export interface ClockSettings {
  /** Spread rows of the same stamp; s between stamps, null when stamps are fine. */
  readonly coarse: number | null;
  /** Most rows that a stamp had in the sample. */
  readonly perStamp: number;
  /** Typical step, s. */
  readonly step: number;
  /** Stamps start afresh at midnight. */
  readonly daily: boolean;
}

/** A clock that stands still for so many rows is none. */
const MOST_ROWS = 20_000;
const DAY = 86_400;
/** One stamp so far ahead, s, must be borne out by the next. */
const AHEAD = 10;

interface Group {
  readonly t: number;
  readonly rows: Row[];
}

export interface Clock {
  readonly facts: ClockFacts;
  push(row: Row): void;
  end(): void;
}

/**
 * @param emit gets rows in order of time  @param still is called when the clock stands still, and must throw
 */
export function createClock({ coarse, perStamp, step, daily }: ClockSettings, emit: (t: number, row: Row) => void, still: (row: Row) => never): Clock {
  const facts: ClockFacts = { duplicates: 0, conflicts: 0, backward: 0, stray: 0, jumps: [] };
  let group: Group | null = null;
  /** Emitted once the next is known, for the time to it. */
  let waiting: Group | null = null;
  let odd: { group: Group; way: 'back' | 'ahead' } | null = null;
  let last = -Infinity;
  let offset = 0;
  let days = 0;
  let started = false;

  function spread({ t, rows }: Group, next: number | null): void {
    const width = Math.min(coarse as number, next === null ? Infinity : next - t);
    const counts = new Map<number, number>();
    for (const { series } of rows) counts.set(series, (counts.get(series) ?? 0) + 1);
    const seen = new Map<number, number>();
    for (const row of rows) {
      const k = seen.get(row.series) ?? 0;
      seen.set(row.series, k + 1);
      const count = counts.get(row.series) as number;
      // the first and the last stamp may have been under way already or cut short: as many to the second as the others have
      const per = row.values === null ? count : Math.max(count, perStamp);
      const from = started || next === null || count === per ? 0 : per - count;
      emit(t + (width * (from + k)) / (started && next !== null ? count : per), row);
    }
    started = true;
  }

  function merge({ t, rows }: Group): void {
    const first = rows[0] as Row;
    if (rows.length === 1) {
      emit(t, first);
      return;
    }
    if (first.values === null) {
      const seen = new Map<number, number>();
      for (const row of rows) {
        const before = seen.get(row.series);
        if (before === undefined) {
          seen.set(row.series, row.value);
          emit(t, row);
        } else if (before === row.value) facts.duplicates++;
        else facts.conflicts++;
      }
      return;
    }
    for (const { values } of rows.slice(1)) {
      let [differs, adds] = [false, false];
      first.values.forEach((v, i) => {
        const other = (values as Float64Array)[i] as number;
        if (Number.isNaN(other)) return;
        if (Number.isNaN(v)) {
          (first.values as Float64Array)[i] = other;
          adds = true;
        } else if (v !== other) differs = true;
      });
      if (differs) facts.conflicts++;
      else if (!adds) facts.duplicates++;
    }
    emit(t, first);
  }

  function accept(g: Group): void {
    if (waiting !== null) {
      if (coarse === null) merge(waiting);
      else spread(waiting, g.t);
    }
    waiting = g;
    last = g.t;
  }

  const shifted = (g: Group, by: number): Group => (by === 0 ? g : { t: g.t + by, rows: g.rows });

  function settle(raw: Group): void {
    let g = shifted(raw, offset);
    if (odd?.way === 'back') {
      if (g.t > last) facts.backward += odd.group.rows.length;
      else {
        const by = last + step - odd.group.t;
        facts.jumps.push({ line: (odd.group.rows[0] as Row).line, at: odd.group.t + by, byS: last - odd.group.t });
        offset += by;
        accept(shifted(odd.group, by));
        g = shifted(g, by);
      }
    } else if (odd?.way === 'ahead') {
      if (g.t > last && g.t < odd.group.t) facts.stray += odd.group.rows.length;
      else accept(odd.group);
    }
    odd = null;
    if (g.t <= last) odd = { group: g, way: 'back' };
    else if (last > -Infinity && g.t > last + Math.max(AHEAD, 100 * step)) odd = { group: g, way: 'ahead' };
    else accept(g);
  }

  return {
    facts,
    push(row) {
      if (group !== null && row.t === (group.rows[0] as Row).t) {
        if (group.rows.push(row) > MOST_ROWS) still(row);
        return;
      }
      if (group !== null) {
        if (daily && row.t < (group.rows[0] as Row).t - DAY / 2) days++;
        settle(group);
      }
      group = { t: row.t + days * DAY, rows: [row] };
    },
    end() {
      if (group !== null) settle(group);
      if (odd?.way === 'back') facts.backward += odd.group.rows.length;
      else if (odd?.way === 'ahead') accept(odd.group);
      if (waiting !== null) {
        if (coarse === null) merge(waiting);
        else spread(waiting, null);
      }
    },
  };
}
