/**
 * What a lesson is: a question, three answers to choose from, two runs that decide between them, what happened told from
 * their traces, and an exercise with limits.
 *
 * Nothing a lesson says is written down beforehand: which answer is right is decided by the runs, the numbers of each step
 * are read off the traces, and each step says whether it holds.
 */
import { simulate } from '../loop/simulate.js';
import type { Trace } from '../loop/trace.js';
import { loadScenarioOrThrow, type ReadText, type Scenario } from '../scenario/index.js';
import { type Scored, scoreTrace } from '../score/index.js';

/** A scenario of a lesson: a file in scenarios/lessons, and what is put in place of what it says. */
export interface Side {
  readonly name: string;
  readonly file: string;
  readonly set: readonly string[];
}

export interface Ran {
  readonly name: string;
  readonly scenario: Scenario;
  readonly trace: Trace;
  readonly scored: Scored;
}

/** Both runs of a lesson: the setting to be warned of, and the one to take. */
export interface Runs {
  readonly wrong: Ran;
  readonly right: Ran;
}

/** One of three answers to the question; the runs say whether it is so. */
export interface Choice {
  readonly letter: 'a' | 'b' | 'c';
  readonly text: string;
  readonly is: (runs: Runs) => boolean;
}

/** A step of what happened. */
export interface Step {
  /** Time on the trace, s; null where it is about a whole run. */
  readonly atS: number | null;
  readonly says: string;
  /** Whether the traces bear it out. */
  readonly holds: boolean;
}

export interface Exercise {
  readonly task: string;
  readonly start: Side;
  /** What the answer may set: keys, or the sections they stand in. */
  readonly mayChange: readonly string[];
}

export interface Lesson {
  readonly name: string;
  readonly about: string;
  readonly question: string;
  readonly choices: readonly [Choice, Choice, Choice];
  readonly wrong: Side;
  readonly right: Side;
  readonly tell: (runs: Runs) => readonly Step[];
  readonly exercise: Exercise;
}

/** Runs one side. @param folder that holds the files of lessons, with a slash at its end   @param set further settings, last */
export async function runSide(side: Side, folder: string, read: ReadText, set: readonly string[] = []): Promise<Ran> {
  const scenario = (await loadScenarioOrThrow(`${folder}${side.file}.yaml`, { read, set: [...side.set, ...set] }))[0]!;
  const trace = simulate(scenario);
  return { name: side.name, scenario, trace, scored: scoreTrace(trace, scenario.limits, scenario.scoring) };
}

export async function runLesson(lesson: Lesson, folder: string, read: ReadText): Promise<Runs> {
  return { wrong: await runSide(lesson.wrong, folder, read), right: await runSide(lesson.right, folder, read) };
}

/** The answer that the runs bear out. @throws RangeError when that is not one alone: a lesson must ask a clear question */
export function rightChoice(lesson: Lesson, runs: Runs): Choice {
  const found = lesson.choices.filter((choice) => choice.is(runs));
  if (found.length !== 1) throw new RangeError(`lesson ${lesson.name}: ${found.length} of its answers are borne out by its runs`);
  return found[0]!;
}
