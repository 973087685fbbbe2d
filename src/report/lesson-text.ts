/** A lesson as lines of text. */
import type { Layout } from './chart.js';
import { seconds } from './numbers.js';
import { wrap } from './text.js';

/** What is printed of a lesson; the room `lessons` fills it. */
export interface LessonWords {
  readonly name: string;
  readonly about: string;
  readonly question: string;
  readonly choices: readonly { readonly letter: string; readonly text: string }[];
}

const indented = (head: string, text: string, indent: number, columns: number): string[] =>
  wrap(text, columns - indent).map((line, i) => (i === 0 ? head.padEnd(indent) : ' '.repeat(indent)) + line);

export function lessonList(lessons: readonly LessonWords[], { columns }: Pick<Layout, 'columns'>): string[] {
  const indent = Math.max(...lessons.map(({ name }) => name.length)) + 2;
  return lessons.flatMap(({ name, about }) => indented(name, about, indent, columns));
}

export const questionLines = ({ question, choices }: LessonWords, { columns }: Pick<Layout, 'columns'>): string[] => [
  ...wrap(question, columns),
  '',
  ...choices.flatMap(({ letter, text }) => indented(letter, text, 3, columns)),
];

/** What was predicted beside what came; null when nobody predicted. */
export function outcomeLines(predicted: string | null, came: { readonly letter: string; readonly text: string }, { columns }: Pick<Layout, 'columns'>): string[] {
  const said = predicted === null ? 'Nothing predicted. What came: ' : predicted === came.letter ? 'Predicted, and so it came: ' : `Predicted ${predicted}; what came: `;
  return wrap(`${said}${came.letter}, ${came.text.charAt(0).toLowerCase()}${came.text.slice(1)}.`, columns, 2);
}

/** Steps with their times in front, and the text under itself. */
export const stepLines = (steps: readonly { readonly atS: number | null; readonly says: string }[], { columns }: Pick<Layout, 'columns'>): string[] =>
  steps.flatMap(({ atS, says }) => indented(`${(atS === null ? '' : seconds(atS)).padStart(7)}  `, says, 9, columns));
