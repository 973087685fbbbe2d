/** Small invented logs for the tests of the reader. */
import { type Log, parseMap, readLog, type ReadOptions } from '../../src/identify/log/index.js';

/** Text in pieces of `size` characters, or bytes as they are. */
export async function* pieces(content: string | Uint8Array, size = 7919): AsyncGenerator<string | Uint8Array> {
  for (let k = 0; k < content.length; k += size) yield content.slice(k, k + size);
}

export function read(content: string | Uint8Array, map: readonly string[] = [], more: Partial<ReadOptions> & { readonly size?: number } = {}): Promise<Log> {
  const { size, ...options } = more;
  return readLog(pieces(content, size), { name: 'log.csv', mapping: parseMap(map).mapping, ...options });
}

/** What an idle of 800 rpm reads at a time: speed, manifold pressure and coolant that move a little. */
export const idle = (t: number): { rpm: number; kpa: number; c: number } => ({
  rpm: Math.round(800 + 12 * Math.sin(1.7 * t) + 7 * Math.sin(5.3 * t)),
  kpa: Number((33 + 1.5 * Math.sin(1.7 * t + 1)).toFixed(1)),
  c: Math.round(82 + t / 60),
});

/** A table of rows, `row(k)` the cells of row k. */
export const table = (header: string, rows: number, row: (k: number) => readonly (string | number)[], delimiter = ','): string =>
  `${header}\n${Array.from({ length: rows }, (_, k) => row(k).join(delimiter)).join('\n')}\n`;

/** A plain log at 10 Hz. */
export const plain = (rows = 100, header = 'Time [s],Engine speed [rpm],MAP [kPa],Coolant [°C]'): string =>
  table(header, rows, (k) => {
    const { rpm, kpa, c } = idle(k / 10);
    return [(k / 10).toFixed(1), rpm, kpa, c];
  });

export const values = (log: Log, name: string): number[] => [...(log.channels.get(name as 'speed')?.values ?? [])];
export const times = (log: Log, name = 'speed'): number[] => [...(log.channels.get(name as 'speed')?.timeS ?? [])];
export const rows = (n: number): number[] => Array.from({ length: n }, (_, k) => k);
export const said = (log: Log): string => log.report.notes.join('\n');
