/** Stretches of cells run here, or on worker threads. */
import { evaluateCell, type SweepRow } from './evaluate.js';
import { createPlants } from './plants.js';
import type { Stretch, Work } from './stretch.js';

type Keep = (rows: readonly SweepRow[]) => void;

const cellsText = ({ from, to }: Stretch): string => (to - from === 1 ? `cell ${from}` : `cells ${from} to ${to - 1}`);

const message = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/** Lets timers, signals and the terminal have a turn. */
const turn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

/** Runs stretches one after the other in this thread. */
export async function runHere({ scenarios, axes }: Work, parts: readonly Stretch[], keep: Keep, signal: AbortSignal | undefined): Promise<void> {
  const plants = createPlants();
  for (const { from, to } of parts) {
    const rows: SweepRow[] = [];
    for (let index = from; index < to; index++) {
      if (signal?.aborted) break;
      try {
        rows.push(evaluateCell(scenarios, axes, index, plants));
      } catch (error) {
        throw new Error(`cell ${index} failed: ${message(error)}`, { cause: error });
      }
    }
    if (rows.length > 0) keep(rows);
    await turn();
    if (signal?.aborted) return;
  }
}

/**
 * Runs stretches on worker threads, two out for each thread so that none waits for its next.
 *
 * @throws Error when a worker fails; the others are ended
 */
export async function runOnThreads(
  work: Work, parts: readonly Stretch[], threads: number, keep: Keep, signal: AbortSignal | undefined, workerUrl: URL,
): Promise<void> {
  if (signal?.aborted) return;
  const { Piscina } = await import('piscina');
  const pool = new Piscina({ minThreads: threads, maxThreads: threads, workerData: work });
  let next = 0;
  let over = false;
  const lane = async (): Promise<void> => {
    while (!over && next < parts.length) {
      const part = parts[next++] as Stretch;
      let rows: readonly SweepRow[];
      try {
        // named with each message: a worker that cannot load its file then fails its task, and not the start of the pool
        rows = await pool.run(part, { filename: workerUrl.href, name: 'evaluateStretch' });
      } catch (error) {
        if (over) return;
        throw new Error(`the worker that ran ${cellsText(part)} failed: ${message(error)}`, { cause: error });
      }
      if (!over) keep(rows);
    }
  };
  let end = (): void => {};
  try {
    const ended = new Promise<void>((resolve, reject) => {
      end = resolve;
      pool.on('error', (error) => reject(new Error(`a worker failed: ${message(error)}`, { cause: error })));
    });
    signal?.addEventListener('abort', end, { once: true });
    await Promise.race([ended, Promise.all(Array.from({ length: 2 * threads }, lane))]);
  } finally {
    over = true;
    signal?.removeEventListener('abort', end);
    await pool.destroy();
  }
}
