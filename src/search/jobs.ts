/** Stretches of cells run here, or on worker threads; and a pool that stays open for who asks again and again. */
import { createRunner, type SweepRow } from './evaluate.js';
import { cellsIn, type Stretch, stretches } from './stretch.js';
import { cellsOf, type Work } from './work.js';

export interface RunOptions {
  /** Worker threads; 1 runs everything here. */
  readonly jobs: number;
  /** Ends the run early; rows that came before stand. */
  readonly signal?: AbortSignal | undefined;
  /** JavaScript file of the worker; that of the library when not given. */
  readonly workerUrl?: URL | undefined;
  /** Cells to run; all when not given. */
  readonly part?: Stretch | undefined;
}

type Keep = (rows: readonly SweepRow[]) => void;

/** @throws RangeError */
export function checkJobs(jobs: number): void {
  if (!Number.isInteger(jobs) || jobs < 1 || jobs > 256) throw new RangeError(`jobs: ${jobs}; a whole number from 1 to 256 is wanted`);
}

/**
 * Runs cells of a work: a sweep's grid, or the points that an optimiser asks for.
 *
 * @param keep takes the rows of each stretch as it is finished; stretches come in no order when there are several jobs
 * @throws RangeError when `jobs` is no whole number from 1 to 256
 * @throws Error when a cell or a worker fails for another reason than values that contradict each other; or what `keep` throws
 */
export async function runCells(work: Work, keep: Keep, { jobs, signal, workerUrl, part }: RunOptions): Promise<void> {
  checkJobs(jobs);
  const whole = part ?? { from: 0, to: cellsOf(work).count, by: 1 };
  const parts = stretches(work, whole, jobs);
  const threads = Math.min(jobs, cellsIn(whole));
  if (threads <= 1) await runHere(work, parts, keep, signal);
  else await runOnThreads(work, parts, threads, keep, signal, workerUrl ?? new URL('./worker.js', import.meta.url));
}

const cellsText = ({ from, to, by }: Stretch): string => {
  const last = from + (cellsIn({ from, to, by }) - 1) * by;
  return last === from ? `cell ${from}` : `cells ${from} to ${last}`;
};

const message = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/** Lets timers, signals and the terminal have a turn. */
const turn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

/** Runs stretches one after the other in this thread. */
async function runHere(work: Work, parts: Iterable<Stretch>, keep: Keep, signal: AbortSignal | undefined): Promise<void> {
  const runCell = createRunner(work);
  for (const { from, to, by } of parts) {
    const rows: SweepRow[] = [];
    let failure: Error | null = null;
    for (let index = from; index < to && failure === null; index += by) {
      if (signal?.aborted) break;
      try {
        rows.push(runCell(index));
      } catch (error) {
        failure = new Error(`cell ${index} failed: ${message(error)}`, { cause: error });
      }
    }
    if (rows.length > 0) keep(rows);
    if (failure !== null) throw failure;
    await turn();
    if (signal?.aborted) return;
  }
}

/**
 * Runs stretches on worker threads, two out for each thread so that none waits for its next.
 *
 * @throws Error when a worker fails; the others are ended
 */
async function runOnThreads(
  work: Work, parts: Iterator<Stretch>, threads: number, keep: Keep, signal: AbortSignal | undefined, workerUrl: URL,
): Promise<void> {
  if (signal?.aborted) return;
  const { Piscina } = await import('piscina');
  const pool = new Piscina({ minThreads: threads, maxThreads: threads, workerData: work });
  let over = false;
  const lane = async (): Promise<void> => {
    while (!over) {
      const { value: part, done } = parts.next();
      if (done === true) return;
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

/** Threads that stay, for an optimiser, which asks for a few answers at a time: to start them anew costs a third of a second. */
export interface OpenPool<Task, Answer> {
  /**
   * Answers in the order of the tasks, whichever comes first; null for those that the signal cut off.
   *
   * @throws Error when a task or a worker fails
   */
  run(tasks: readonly Task[]): Promise<readonly (Answer | null)[]>;
  close(): Promise<void>;
}

/**
 * Opens a pool.
 *
 * @param data sent once to each thread   @param name what of worker.ts answers a task   @param here the same, for one job
 * @throws RangeError when `jobs` is no whole number from 1 to 256
 */
export async function openPool<Data, Task, Answer>(
  data: Data, name: string, here: (data: Data) => (task: Task) => Answer, { jobs, signal, workerUrl }: Omit<RunOptions, 'part'>,
): Promise<OpenPool<Task, Answer>> {
  checkJobs(jobs);
  if (jobs === 1) {
    const answer = here(data);
    return {
      async run(tasks) {
        if (tasks.length === 0) await turn();
        const answers: (Answer | null)[] = [];
        for (const task of tasks) {
          answers.push(signal?.aborted ? null : answer(task));
          await turn();
        }
        return answers;
      },
      close: () => Promise.resolve(),
    };
  }
  const { Piscina } = await import('piscina');
  const pool = new Piscina({ minThreads: jobs, maxThreads: jobs, idleTimeout: Number.POSITIVE_INFINITY, workerData: data });
  const filename = (workerUrl ?? new URL('./worker.js', import.meta.url)).href;
  const failed = new Promise<never>((_, reject) => {
    pool.on('error', (error) => reject(new Error(`a worker failed: ${message(error)}`, { cause: error })));
  });
  failed.catch(() => undefined); // told to whoever waits in `run`
  const ended = new Promise<null>((resolve) => {
    if (signal?.aborted) resolve(null);
    signal?.addEventListener('abort', () => resolve(null), { once: true });
  });
  const one = async (task: Task): Promise<Answer | null> => {
    if (signal?.aborted) return null;
    const answer = (pool.run(task, { filename, name }) as Promise<Answer>).catch((error: unknown) => {
      if (signal?.aborted) return null; // the pool was closed under it
      throw new Error(`a worker failed: ${message(error)}`, { cause: error });
    });
    return await Promise.race([ended, answer]);
  };
  return {
    async run(tasks) {
      if (tasks.length === 0) await turn(); // who asks again and again for nothing must still hear of a signal
      return await Promise.race([failed, Promise.all(tasks.map(one))]);
    },
    close: () => pool.destroy(),
  };
}
