/** The answer to an exercise: a file of settings, laid over the lesson's start, run on its drill and judged by its limits. */
import { isMap, isScalar, isSeq, LineCounter, type Node, parseDocument } from 'yaml';
import { nearestName, quote } from '../scenario/problem.js';
import { type WhyMissed, whyMissed } from '../score/why-missed.js';
import type { Lesson, Ran } from './lesson.js';

/** What is wrong with an answer, a line each with its place. */
export class AnswerError extends Error {
  constructor(readonly lines: readonly string[]) {
    super(lines.join('\n'));
  }
}

/** A setting of an answer, as `--set` takes it, and the place it was given. */
export interface Setting {
  readonly key: string;
  readonly text: string;
  readonly place: string;
}

/** Sections of a controller file that may stand without `controller` above them. */
const BARE = ['entry', 'pid', 'spark', 'loads', 'clamp', 'base', 'target', 'start', 'openAir'];

/** `key` itself, or in the section `allowed`. */
const within = (key: string, allowed: string): boolean => key === allowed || key.startsWith(`${allowed}.`);

/**
 * Settings of an answer file: a mapping under `controller`, or its sections alone.
 *
 * @param file its name, for messages
 * @throws AnswerError
 */
export function readAnswer(text: string, file: string, { exercise }: Lesson): readonly Setting[] {
  const counter = new LineCounter();
  const document = parseDocument(text, { lineCounter: counter });
  const placeOf = (node: Node | null | undefined): string => {
    if (node?.range == null) return file;
    const { line, col } = counter.linePos(node.range[0]);
    return `${file}:${line}:${col}`;
  };
  if (document.errors.length > 0) throw new AnswerError(document.errors.map(({ linePos, message }) => `${file}:${linePos?.[0].line ?? 1}:${linePos?.[0].col ?? 1}  ${message.split('\n')[0]}`));
  const root = document.contents;
  if (!isMap(root)) throw new AnswerError([`${placeOf(root)}  settings are wanted, such as ${exercise.mayChange[0]}`]);
  const found: Setting[] = [];
  const walk = (node: Node | null, key: string, place: string): void => {
    if (isMap(node)) for (const pair of node.items) walk(pair.value as Node | null, key === '' ? String(pair.key) : `${key}.${String(pair.key)}`, placeOf(pair.key as Node));
    else if (isSeq(node) && node.items.some(isMap)) node.items.forEach((item, i) => { walk(item as Node, `${key}.${i}`, placeOf(item as Node)); });
    else found.push({ key: BARE.includes(key.split('.')[0]!) ? `controller.${key}` : key, text: isScalar(node) ? String(node.value) : JSON.stringify(node?.toJS(document) ?? null), place });
  };
  walk(root, '', file);
  const wrong = found.filter(({ key }) => !exercise.mayChange.some((allowed) => within(key, allowed)));
  if (found.length === 0) throw new AnswerError([`${file}  no setting in it; it may set ${exercise.mayChange.join(', ')}`]);
  if (wrong.length > 0) {
    throw new AnswerError(wrong.map(({ key, place }) => {
      const near = nearestName(key, exercise.mayChange);
      return `${place}  ${quote(key)}: this exercise is about ${exercise.mayChange.join(', ')}${near === null ? '' : `; did you mean ${near}?`}`;
    }));
  }
  return found;
}

export interface Judged {
  readonly passes: boolean;
  /** The verdict of its run. */
  readonly says: string;
  /** Where it fails, read off its trace; nothing where it passes. */
  readonly why: readonly WhyMissed[];
}

/** Whether an answer passes, and why not. */
export function judge({ trace, scored }: Ran): Judged {
  return { passes: !scored.stalled && scored.missed.length === 0, says: scored.verdict, why: whyMissed(trace, scored) };
}
