/** Problems of scenario files: where, which key, what was given, what is allowed. */
import { distance } from 'fastest-levenshtein';

/** A point in a file, counted from 1; line 0 when the whole file or `--set` is meant. */
export interface Place {
  readonly file: string;
  readonly line: number;
  readonly column: number;
}

export interface Problem extends Place {
  /** Key path, dots between; '' for the file as a whole. */
  readonly path: string;
  readonly message: string;
}

/** What stands for the file when a value came from `--set`. */
export const SET: Place = { file: '--set', line: 0, column: 0 };

export const placeText = ({ file, line, column }: Place): string => (line === 0 ? file : `${file}:${line}:${column}`);

/** One line: `scenarios/warm.yaml:14:12  engine.inertia: 180 kg m^2 is outside 0.01 … 2 kg m^2`. */
export const formatProblem = (problem: Problem): string =>
  `${placeText(problem)}  ${problem.path === '' ? '' : `${problem.path}: `}${problem.message}`;

/** All problems of a scenario, thrown by `loadScenarioOrThrow`. */
export class ScenarioError extends Error {
  override readonly name = 'ScenarioError';
  constructor(readonly problems: readonly Problem[]) {
    super(problems.map(formatProblem).join('\n'));
  }
}

/** Each problem once and fit to be printed, by file (`first` before others, `--set` last), line and column. */
export function sortProblems(problems: readonly Problem[], first: string): Problem[] {
  const printed = problems.map((p) => ({ ...p, path: printable(p.path), message: printable(p.message) }));
  const once = new Map(printed.map((p) => [formatProblem(p), p]));
  const rank = (file: string): number => (file === first ? 0 : file === SET.file ? 2 : 1);
  return [...once.values()].sort(
    (a, b) =>
      rank(a.file) - rank(b.file) || (a.file < b.file ? -1 : a.file > b.file ? 1 : 0) || a.line - b.line || a.column - b.column,
  );
}

/** The name most like a given one, or null when none is. */
export function nearestName(given: string, names: readonly string[]): string | null {
  const wanted = given.trim().toLowerCase();
  let best: string | null = null;
  let least = Math.max(1, Math.floor(wanted.length / 3)) + 1;
  for (const name of names) {
    const away = distance(wanted, name.toLowerCase());
    if (away < least) [best, least] = [name, away];
  }
  return best;
}

/** A text with nothing in it that a terminal would act on or not show. */
const printable = (text: string): string =>
  text.replace(
    /[^\x20-\x7e\u00a1-\u{10ffff}]|\p{C}|(?! )\p{Z}/gu,
    (c) => `\\u${c.codePointAt(0)!.toString(16).padStart(4, '0')}`,
  );

/** Most characters of what is quoted, escapes counted as they are printed. */
const LONGEST_QUOTE = 80;

/** A text shortened for quoting, and fit to be printed: escaped first, since one odd character takes six. */
export function quote(text: string, longest = LONGEST_QUOTE): string {
  const shown = printable(text.length > longest ? text.slice(0, longest + 1) : text);
  return shown.length > longest ? `${shown.slice(0, longest - 1)}…` : shown;
}
