/** Runs on one time axis: their own rows where these are the same, else every row of each with gaps between. */
import uPlot from 'uplot';

type Column = ArrayLike<number | null>;

interface Timed {
  readonly timeS: ArrayLike<number>;
  readonly columns: Readonly<Record<string, Column>>;
}

const LAID = ['speedRpm', 'air'] as const;

const sameTimes = (a: ArrayLike<number>, b: ArrayLike<number>): boolean => a.length === b.length && Array.prototype.every.call(a, (time: number, k: number) => time === b[k]);

/** The own run with all its columns, others with what is laid over. */
export function align(own: Timed, others: readonly Timed[]): { readonly timeS: ArrayLike<number>; readonly own: Timed['columns']; readonly others: readonly Timed['columns'][] } {
  if (others.every(({ timeS }) => sameTimes(timeS, own.timeS))) return { timeS: own.timeS, own: own.columns, others: others.map(({ columns }) => columns) };
  const names = Object.keys(own.columns);
  const tables = [
    [own.timeS, ...names.map((name) => own.columns[name])],
    ...others.map(({ timeS, columns }) => [timeS, ...LAID.map((name) => columns[name])]),
  ] as unknown as uPlot.AlignedData[];
  const [timeS, ...joined] = uPlot.join(tables) as unknown as [ArrayLike<number>, ...Column[]];
  const pick = (from: number, keys: readonly string[]): Timed['columns'] => Object.fromEntries(keys.map((name, i) => [name, joined[from + i] as Column]));
  return { timeS, own: pick(0, names), others: others.map((_, i) => pick(names.length + i * LAID.length, LAID)) };
}
