/** A progress bar with the time left, on a terminal; nothing elsewhere. */
import { SingleBar } from 'cli-progress';

export interface Progress {
  readonly show: (progress: { readonly done: number; readonly total: number }) => void;
  readonly end: () => void;
}

export function createProgress(onTerminal: boolean): Progress {
  if (!onTerminal) return { show: () => undefined, end: () => undefined };
  const bar = new SingleBar({ format: '{bar} {value} of {total} cells, {eta_formatted} left', barCompleteChar: '■', barIncompleteChar: '·', hideCursor: true, clearOnComplete: true, stream: process.stderr });
  let started = false;
  return {
    show({ done, total }) {
      if (!started) bar.start(total, 0);
      started = true;
      bar.update(done);
    },
    end() {
      if (started) bar.stop();
    },
  };
}
