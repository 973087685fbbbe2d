/** Shards of one sweep put together. */
import type { SweepRow } from './evaluate.js';
import { shardCells, shardText, WHOLE } from './shard.js';
import type { StoreHeader } from './store.js';
import { storeDifferences } from './store.js';
import { cellsIn } from './stretch.js';

/** A part to be put together. */
export interface Part {
  /** What it is called in messages. */
  readonly name: string;
  readonly header: StoreHeader;
  /** Rows in it. */
  readonly count: number;
  /** By ascending index. */
  readonly rows: () => Iterable<SweepRow>;
}

/** Most shards that are named as missing. */
const MOST_NAMED = 10;

/** Everything that keeps parts from being the whole of one sweep, a line each. */
export function mergeProblems(parts: readonly Part[]): string[] {
  const [first] = parts;
  if (first === undefined) return ['nothing to merge'];
  const { hash, shard, total } = first.header;
  const problems: string[] = [];
  const holders = new Map<number, string>();
  for (const { name, header, count } of parts) {
    if (header.hash !== hash) {
      const differ = storeDifferences(first.header, { ...header, shard });
      problems.push(`${name}: another sweep than ${first.name}`, ...differ.map((line) => `  ${line.replace(/ there, /, ` in ${first.name}, `).replace(/ here$/, ` in ${name}`)}`));
      continue;
    }
    if (header.shard.of !== shard.of) {
      problems.push(`${name}: shard ${shardText(header.shard)}, where ${first.name} is ${shardText(shard)}; a sweep is cut one way`);
      continue;
    }
    const before = holders.get(header.shard.at);
    if (before !== undefined) problems.push(`${name}: shard ${shardText(header.shard)} a second time; ${before} is the first`);
    else holders.set(header.shard.at, name);
    const wanted = cellsIn(shardCells(header.shard, total));
    if (count < wanted) problems.push(`${name}: ${count} of ${wanted} cells; tickover sweep … --resume ${name} runs the others`);
  }
  const missing = Array.from({ length: shard.of }, (_, i) => i + 1).filter((at) => !holders.has(at));
  if (problems.length === 0 && missing.length > 0) {
    const named = missing.slice(0, MOST_NAMED).map((at) => shardText({ at, of: shard.of }));
    problems.push(`${missing.length === 1 ? 'shard' : 'shards'} ${named.join(', ')}${missing.length > MOST_NAMED ? ` and ${missing.length - MOST_NAMED} more` : ''} missing`);
  }
  return problems;
}

/** Header of the whole. @param parts without problems */
export const mergedHeader = (parts: readonly Part[]): StoreHeader => ({ ...(parts[0] as Part).header, shard: WHOLE });

/** Rows of the whole by ascending index, a row of each part in turn. @param parts without problems */
export function* mergedRows(parts: readonly Part[]): Generator<SweepRow> {
  const inOrder = [...parts].sort((a, b) => a.header.shard.at - b.header.shard.at);
  const sources = inOrder.map(({ rows }) => rows()[Symbol.iterator]());
  try {
    for (;;) {
      for (const source of sources) {
        const { value, done } = source.next();
        if (done === true) return; // the first to end has the last row before it: parts differ by one row at most
        yield value;
      }
    }
  } finally {
    for (const source of sources) source.return?.();
  }
}
