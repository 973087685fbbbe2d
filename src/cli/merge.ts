/** `tickover merge`: the shards of a sweep joined, and told as one sweep. */
import { cellsIn, createGathering, headerLine, mergedHeader, mergedRows, mergeProblems, rowLine, shardCells, type StoreHeader, type SweepRow, WHOLE, workOf } from '../search/index.js';
import { BadInput } from './failure.js';
import { checkCsv, checkOneOutput, writeWhole } from './files.js';
import { readPart } from './store-read.js';
import { checkNewStore } from './store-write.js';
import { checkSweepPicture, frontGathering, tellSweep, type Telling } from './sweep-page.js';
import type { Terminal } from './terminal.js';

export interface MergeOptions extends Telling {
  readonly out?: string;
}

/** @returns the exit code */
export async function merge(files: readonly string[], options: MergeOptions, terminal: Terminal): Promise<number> {
  checkOneOutput(options);
  if (options.out !== undefined) checkNewStore('--out', options.out);
  if (options.csv !== undefined) checkCsv(options.csv, files, options.out);
  const front = frontGathering(options);
  const parts = files.map(readPart);
  const problems = mergeProblems(parts);
  if (problems.length > 0) throw new BadInput([...problems, 'nothing was merged']);

  const header = mergedHeader(parts);
  checkSweepPicture(options, header, files);
  const gathering = createGathering(workOf(header), header.total, options.top);
  const note = (row: SweepRow): void => {
    gathering.add([row]);
    front?.add([row]);
  };
  if (options.out === undefined) for (const row of mergedRows(parts)) note(row);
  else writeWhole(options.out, storeLines(header, mergedRows(parts), note));
  return tellSweep(
    { header, summary: gathering.summary(), cells: cellsIn(shardCells(WHOLE, header.total)), rows: { [Symbol.iterator]: () => mergedRows(parts) }, front: front?.front() ?? null },
    options,
    terminal,
  );
}

function* storeLines(header: StoreHeader, rows: Iterable<SweepRow>, each: (row: SweepRow) => void): Generator<string> {
  yield headerLine(header);
  for (const row of rows) {
    each(row);
    yield rowLine(row);
  }
}
