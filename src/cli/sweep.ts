/** `tickover sweep`: a grid of settings or a sample of them, ranked; the best beside the scenario as it is. */
import { formatProblem, type Scenario } from '../scenario/index.js';
import {
  cellsIn, cellsOf, createGathering, createOrder, parseShard, rangeAxes, readAxes, readRanges, runCells, type Shard, shardCells, shardText, type StoreHeader, storeHeader,
  type SweepRow, WHOLE, type Work,
} from '../search/index.js';
import { createEstimate } from './estimate.js';
import { BadInput, EXIT } from './failure.js';
import { checkCsv, checkOneOutput, load } from './files.js';
import { createProgress } from './progress.js';
import { storeRows } from './store-read.js';
import { checkNewStore, createStore, resumeStore, type StoreWriter } from './store-write.js';
import { checkSweepPicture, frontGathering, tellSweep, type Telling, wantsRows } from './sweep-page.js';
import type { Terminal } from './terminal.js';

export interface SweepOptions extends Telling {
  readonly set: readonly string[];
  readonly vary: readonly string[];
  readonly jobs: number;
  readonly sample?: number;
  readonly random?: boolean;
  readonly seed?: number;
  readonly shard?: string;
  readonly out?: string;
  readonly resume?: string;
}

/**
 * @param program version of this program
 * @returns the exit code
 */
export async function sweep(files: readonly string[], options: SweepOptions, terminal: Terminal, program: string): Promise<number> {
  checkOneOutput(options);
  if (options.out !== undefined && options.resume !== undefined) throw new BadInput(['--out begins a store and --resume goes on with one; give one of them']);
  const loaded = await Promise.all(files.map((file) => load(file, options.set)));
  const work = readWork(loaded.flatMap(({ scenarios }) => scenarios), options);
  const total = cellsOf(work).count;
  const shard = readShard(options.shard, total);
  const path = options.out ?? options.resume;
  if (options.out !== undefined) checkNewStore('--out', options.out);
  if (options.csv !== undefined) checkCsv(options.csv, files, path);
  checkSweepPicture(options, work, files);

  const front = frontGathering(options);
  const header = storeHeader(work, shard, program);
  const cells = shardCells(shard, total);
  const gathering = createGathering(work, total, options.top);
  const note = (rows: readonly SweepRow[]): void => {
    gathering.add(rows);
    front?.add(rows);
  };
  const store = openStore(options, header, (row) => note([row]), terminal);
  const already = store?.count() ?? 0;
  const count = cellsIn(cells);
  const kept: SweepRow[] = [];
  const take = (rows: readonly SweepRow[]): void => {
    store?.append(rows);
    if (store === null && wantsRows(options)) for (const row of rows) kept.push(row);
    note(rows);
  };
  const part = { ...cells, from: cells.from + already * cells.by };
  let broke: boolean;
  try {
    broke = await runPart(work, part, take, options.jobs, terminal);
  } finally {
    store?.close();
  }

  const summary = gathering.summary();
  const rows = store === null ? kept : { [Symbol.iterator]: () => storeRows(store.path, header) };
  const code = tellSweep({ header, summary, cells: count, rows, front: front?.front() ?? null }, options, terminal);
  if (summary.done === count) return code;
  const where = store !== null ? `kept; --resume ${store.path} goes on` : options.csv === undefined ? 'shown' : 'kept';
  terminal.err(`${broke ? 'broken off' : 'interrupted'}: ${summary.done} of ${count} cells were run, and are ${where}`);
  return broke ? EXIT.internal : EXIT.interrupted;
}

/** What is varied, and the cells. @throws BadInput */
function readWork(scenarios: readonly Scenario[], { vary, sample, random, seed }: SweepOptions): Work {
  if (sample === undefined) {
    if (random === true || seed !== undefined) throw new BadInput([`--${random === true ? 'random' : 'seed'}: belongs to --sample; a grid has no chance in it`]);
    const { axes, problems } = readAxes(vary, scenarios);
    if (axes === null) throw new BadInput([...problems.map(formatProblem), 'nothing was run']);
    return { scenarios, axes };
  }
  const { ranges, problems } = readRanges(vary, scenarios);
  if (ranges === null) throw new BadInput([...problems.map(formatProblem), 'nothing was run']);
  const work: Work = {
    scenarios, axes: rangeAxes(ranges),
    design: { kind: 'sample', sample: { kind: random === true ? 'random' : 'sobol', count: sample, seed: seed ?? 1 }, ranges },
  };
  try {
    cellsOf(work);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new BadInput([`--sample: ${error.message}`, 'nothing was run']);
  }
  return work;
}

/** @throws BadInput */
function readShard(text: string | undefined, total: number): Shard {
  if (text === undefined) return WHOLE;
  const shard = parseShard(text);
  if (typeof shard === 'string') throw new BadInput([`--shard ${shard}`]);
  if (shard.of > total) throw new BadInput([`--shard ${shardText(shard)}: ${total} cells make at most ${total} shards`]);
  return shard;
}

/** @param each takes the rows that are there already   @throws BadInput */
function openStore({ out, resume }: SweepOptions, header: StoreHeader, each: (row: SweepRow) => void, terminal: Terminal): StoreWriter | null {
  if (out !== undefined) return createStore(out, header);
  if (resume === undefined) return null;
  const { store, found } = resumeStore(resume, header, each);
  if (found === null) terminal.err(`${resume}: was not there, and is begun`);
  else {
    if (found.end < found.size) terminal.err(`${resume}: its last line was torn; that cell is run again`);
    terminal.err(`${resume}: ${found.count} of ${found.cells} cells are there`);
  }
  return store;
}

/** Runs cells in their order, up to the end or an interrupt. @returns whether a cell or a worker failed */
async function runPart(work: Work, part: { readonly from: number; readonly to: number; readonly by: number }, take: (rows: readonly SweepRow[]) => void, jobs: number, terminal: Terminal): Promise<boolean> {
  const stop = new AbortController();
  const onInterrupt = (): void => stop.abort();
  process.once('SIGINT', onInterrupt);
  const progress = createProgress(terminal.progress);
  const estimate = createEstimate(() => performance.now());
  const total = cellsIn(part);
  let done = 0;
  const inOrder = createOrder(part, (rows) => {
    take(rows);
    done += rows.length;
    const said = estimate.note(done, total);
    if (typeof said === 'string') terminal.err(said);
    if (said !== undefined) progress.show({ done, total }); // not before: the line stands above the bar
  });
  try {
    await runCells(work, inOrder, { jobs, part, signal: stop.signal, workerUrl: new URL('./worker.js', import.meta.url) });
    return false;
  } catch (error) {
    if (error instanceof BadInput || !(error instanceof Error)) throw error;
    terminal.err(`sweep: ${error.message}; ${done} of ${total} cells were finished`);
    return true;
  } finally {
    progress.end();
    process.removeListener('SIGINT', onInterrupt);
  }
}
