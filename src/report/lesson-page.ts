/** The parts of a lesson's page that are text already when it is made: question, what happened, both runs in numbers, exercise. */
import type { Scored } from '../score/score.js';
import type { LessonWords } from './lesson-text.js';
import { METRIC_ROWS } from './metric-names.js';
import { formatNumber, seconds } from './numbers.js';
import type { PagePart } from './page-html.js';
import { absentCell, escapeHtml } from './page-text.js';

/** A run of a lesson, as its page tells it. */
export interface LessonRunWords {
  readonly name: string;
  readonly scored: Pick<Scored, 'metrics' | 'verdict'>;
}

export interface LessonPageWords extends LessonWords {
  /** The choice that the runs bore out. */
  readonly came: { readonly letter: string; readonly text: string };
  readonly wrong: LessonRunWords;
  readonly right: LessonRunWords;
  readonly steps: readonly { readonly atS: number | null; readonly says: string }[];
  /** What is done to the engine in both runs. */
  readonly events: readonly { readonly atS: number; readonly what: string }[];
  readonly task: string;
  readonly mayChange: readonly string[];
}

/** Question and choices. The two buttons do nothing without a program, and are not shown then. */
const questionPart = ({ question, choices }: LessonPageWords): PagePart => ({
  id: 'question', heading: 'The question', about: '',
  body: `<p class="ask">${escapeHtml(question)}</p>
<fieldset class="choices"><legend>What do you expect?</legend>
${choices.map(({ letter, text }) => `<label><input type="radio" name="predicted" value="${escapeHtml(letter)}"><b>${escapeHtml(letter)}</b> <span>${escapeHtml(text)}</span></label>`).join('\n')}
</fieldset>
<p class="live go" hidden><button type="button" id="predict">this is what I expect</button> <button type="button" id="pass">go on without a prediction</button></p>
<p id="predicted" role="status"></p>`,
});

/** `1`, `2` … of the steps that have a time on the trace; null for the others. */
export function stepNumbers(steps: LessonPageWords['steps']): readonly (number | null)[] {
  let count = 0;
  return steps.map(({ atS }) => (atS === null ? null : ++count));
}

function happenedPart({ came, steps, events, wrong, right }: LessonPageWords): PagePart {
  const numbers = stepNumbers(steps);
  const items = steps.map(({ atS, says }, i) => `<li${atS === null ? ' class="whole"' : ` data-at="${atS}"`}><span class="when">${atS === null ? '' : `<b class="pin">${numbers[i]}</b> <span class="time">${escapeHtml(seconds(atS))}</span>`}</span><span class="says">${escapeHtml(says)}</span></li>`);
  const done = events.map(({ atS, what }) => `${escapeHtml(what)} at ${escapeHtml(seconds(atS))}`).join('; ');
  return {
    id: 'happened', heading: 'What happened', about: '', later: true,
    body: `<p class="came">What came: <b>${escapeHtml(came.letter)}</b>, ${escapeHtml(came.text.charAt(0).toLowerCase() + came.text.slice(1))}.</p>
<p class="about">Two runs, <b class="ink-wrong">${escapeHtml(wrong.name)}</b> and <b class="ink-right">${escapeHtml(right.name)}</b>. ${done === '' ? 'Nothing is done to the engine.' : `Done to the engine: ${done}.`}</p>
<div class="story"><div class="pictures-of" id="strips"></div><div class="telling"><ol class="steps">
${items.join('\n')}
</ol></div></div>`,
  };
}

function numbersPart({ wrong, right }: LessonPageWords): PagePart {
  const cell = ({ scored: { metrics } }: LessonRunWords, { name, unit }: (typeof METRIC_ROWS)[number]): string => {
    const value = metrics[name];
    return value === null ? absentCell(metrics.reasons[name] ?? 'not measured') : `<td class="number">${formatNumber(value, unit)}</td>`;
  };
  const rows = METRIC_ROWS.filter(({ name }) => wrong.scored.metrics[name] !== null || right.scored.metrics[name] !== null)
    .map((row) => `<tr><th scope="row">${escapeHtml(row.label)}${row.unit === '' ? '' : `, ${escapeHtml(row.unit)}`}</th>${cell(wrong, row)}${cell(right, row)}</tr>`);
  const verdicts = [wrong, right].map(({ name, scored }) => `<li><b>${escapeHtml(name)}</b>: ${escapeHtml(scored.verdict)}</li>`);
  return {
    id: 'numbers', heading: 'Both runs in numbers', about: 'The worst of each run. A dash is a number that does not exist; pointing at it says why.', later: true,
    body: `<ul>${verdicts.join('')}</ul>
<div class="box" tabindex="0" role="region" aria-label="Table of both runs"><table><thead><tr><td></td><th scope="col" class="number">${escapeHtml(wrong.name)}</th><th scope="col" class="number">${escapeHtml(right.name)}</th></tr></thead><tbody>
${rows.join('\n')}
</tbody></table></div>`,
  };
}

const exercisePart = ({ name, task, mayChange }: LessonPageWords): PagePart => ({
  id: 'exercise', heading: 'The exercise', about: '', later: true,
  body: `<p class="ask">${escapeHtml(task)}</p>
<p>It is about ${mayChange.map((key) => `<code>${escapeHtml(key)}</code>`).join(', ')}. In a file of its own, such as settings.yaml, it is checked by <code>tickover lesson ${escapeHtml(name)} --answer settings.yaml</code>.</p>
<p class="live" hidden>Or set it on the bench below and check it here. <button type="button" id="check">check the settings of the bench</button></p>
<div id="checked" role="status"></div>
<div id="exercise-strips"></div>`,
});

/** @param bench the live bench, which `page` has too; it begins at the exercise */
export const lessonParts = (words: LessonPageWords, bench: PagePart): readonly PagePart[] => [
  questionPart(words), happenedPart(words), numbersPart(words), exercisePart(words), { ...bench, later: true },
];
