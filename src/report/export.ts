/** Runs as data: JSON objects and CSV. Units stand in the names or beside the columns. */
import type { StepCost } from '../loop/step-check.js';
import { COLUMNS, type ColumnName, type Trace } from '../loop/trace.js';
import type { Scored } from '../score/score.js';

export interface RunParts {
  readonly title: string;
  readonly file: string;
  readonly trace: Trace;
  readonly scored: Scored;
  readonly stepCost: StepCost | null;
  readonly withTrace: boolean;
}

/** What `run --json` prints. Times s, speeds rpm; a number that does not exist is null, with its reason in `reasons`. */
export function runObject({ title, file, trace, scored, stepCost, withTrace }: RunParts): object {
  return {
    scenario: title,
    file,
    stalled: scored.stalled,
    stallTimeS: scored.stallTimeS,
    end: trace.end,
    events: scored.events.map(({ window: _window, settlesFromS: _from, ...event }) => event),
    metrics: scored.metrics,
    missed: scored.missed,
    score: scored.score,
    verdict: scored.verdict,
    open: trace.open,
    ...(stepCost === null ? {} : { stepCheck: stepCost }),
    ...(withTrace ? { trace: traceObject(trace) } : {}),
  };
}

/** What `run --json` prints for a suite. */
export const runsObject = (file: string, runs: readonly object[], score: number): object => ({ file, runs, score });

const names = Object.keys(COLUMNS) as ColumnName[];
const unitOf = (trace: Trace, name: ColumnName): string => (name === 'air' ? trace.airUnit : COLUMNS[name].unit);

function traceObject(trace: Trace): object {
  return {
    rows: trace.rows,
    columns: Object.fromEntries(
      names.map((name) => [name, { unit: unitOf(trace, name), meaning: COLUMNS[name].meaning, values: Array.from(trace.columns[name].subarray(0, trace.rows)) }]),
    ),
  };
}

/** A trace as CSV (RFC 4180): a head of names, a row of units, then a line a row. */
export function* traceCsv(trace: Trace): Generator<string> {
  yield `${names.join(',')}\r\n`;
  yield `${names.map((name) => unitOf(trace, name)).join(',')}\r\n`;
  for (let k = 0; k < trace.rows; k++) yield `${names.map((name) => String(trace.columns[name][k])).join(',')}\r\n`;
}
