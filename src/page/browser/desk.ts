/** The page's side of a worker: a question, its answer in turn. Where no worker can be had, short questions are answered here. */
import { createAnswerer } from '../answer.js';
import type { Answer, Question } from '../messages.js';

type Asked = Question extends infer Q ? (Q extends Question ? Omit<Q, 'id'> : never) : never;

export interface Desk {
  ask(question: Asked): Promise<Answer>;
  /** Why there is no worker, or null while there is one. */
  readonly missing: () => string | null;
}

const NO_WORKER = 'this browser starts no web workers';
const NO_BLOB = 'this browser starts no web worker from a page’s own program (a blob: address)';

/** A worker made of the page's own program. @returns why not, as text */
function startWorker(program: string): Worker | string {
  if (typeof Worker === 'undefined') return NO_WORKER;
  if (typeof Blob === 'undefined' || typeof URL.createObjectURL !== 'function') return NO_BLOB;
  try {
    const address = URL.createObjectURL(new Blob([program], { type: 'text/javascript' }));
    return new Worker(address);
  } catch {
    return NO_BLOB;
  }
}

export function createDesk(program: string): Desk {
  const waiting = new Map<number, { readonly question: Question; readonly give: (answer: Answer) => void }>();
  const here = createAnswerer();
  let next = 1;
  const started = startWorker(program);
  let missing = typeof started === 'string' ? started : null;
  const worker = typeof started === 'string' ? null : started;
  /** After the questions' moment, so that what is on the screen by now is painted first. */
  const answerHere = (question: Question, give: (answer: Answer) => void): void => {
    setTimeout(() => give(here(question)), 0);
  };
  worker?.addEventListener('message', ({ data }: MessageEvent<Answer>) => {
    waiting.get(data.id)?.give(data);
    waiting.delete(data.id);
  });
  worker?.addEventListener('error', () => {
    missing = NO_BLOB;
    for (const { question, give } of waiting.values()) answerHere(question, give);
    waiting.clear();
  });
  return {
    ask: (asked) =>
      new Promise((give) => {
        const question = { ...asked, id: next++ } as Question;
        if (worker === null || missing !== null) answerHere(question, give);
        else {
          waiting.set(question.id, { question, give });
          worker.postMessage(question);
        }
      }),
    missing: () => missing,
  };
}

/** What the same program does in a worker. */
export function serve(): void {
  const answer = createAnswerer();
  const scope = self as unknown as { onmessage: ((event: MessageEvent<Question>) => void) | null; postMessage(message: Answer, transfer: Transferable[]): void };
  scope.onmessage = ({ data }) => {
    const said = answer(data);
    const columns = said.kind === 'ran' ? [said.run.drawn.timeS, ...Object.values(said.run.drawn.columns)] : said.kind === 'live' ? Object.values(said.stretch.columns) : [];
    scope.postMessage(said, columns.map((column) => column.buffer as ArrayBuffer));
  };
}
