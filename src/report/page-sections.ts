/** The parts of a page that are text already when it is made: runs, their events, the sheet. */
import type { Scored } from '../score/score.js';
import type { Metrics } from '../score/metrics.js';
import { METRIC_ROWS } from './metric-names.js';
import { formatNumber, plural } from './numbers.js';
import type { PagePart } from './page-html.js';
import { absentCell, escapeHtml } from './page-text.js';
import { eventKey } from './text.js';

export interface PageRunText {
  readonly name: string;
  /** What is not quite what the scenario reads like, a sentence each. */
  readonly notes: readonly string[];
  readonly scored: Pick<Scored, 'events' | 'verdict' | 'score' | 'missed' | 'stalled'>;
}

/** A table that scrolls in its own box where the screen is narrow. */
const boxed = (label: string, table: string): string => `<div class="box" tabindex="0" role="region" aria-label="${escapeHtml(label)}">${table}</div>`;

const outcome = ({ stalled, missed }: PageRunText['scored']): string => (stalled ? 'stalls' : missed.length > 0 ? `misses ${plural(missed.length, 'limit')}` : 'holds');

/** The runs of a page: which is drawn, which are laid over it, how each came out. */
export function runsPart(runs: readonly PageRunText[]): PagePart {
  const rows = runs.map(({ name, notes, scored }, i) => {
    const label = escapeHtml(name);
    const notesHtml = notes.map((text) => ` <span class="note">${escapeHtml(text)}</span>`).join('');
    return `<tr><td class="pick live" hidden><input type="radio" name="drawn" value="${i}" aria-label="Draw ${label}"${i === 0 ? ' checked' : ''}></td><td class="pick live" hidden><input type="checkbox" name="over" value="${i}" aria-label="Lay ${label} over it"></td><th scope="row">${label}</th><td class="${scored.stalled ? 'bad' : scored.missed.length > 0 ? 'warn' : 'good'}">${outcome(scored)}</td><td class="number">${formatNumber(scored.score, 'score')}</td><td class="words">${escapeHtml(scored.verdict)}${notesHtml}</td></tr>`;
  });
  const head = '<thead><tr><th scope="col" class="pick live" hidden>draw</th><th scope="col" class="pick live" hidden>lay over</th><th scope="col">run</th><th scope="col">outcome</th><th scope="col" class="number">score</th><th scope="col">in words</th></tr></thead>';
  return {
    id: 'runs', heading: runs.length === 1 ? 'The run' : 'The runs', about: 'A lower score is better. What the engine did, in a sentence:',
    body: boxed('Runs', `<table class="runs">${head}<tbody>\n${rows.join('\n')}\n</tbody></table>`),
  };
}

/** Metrics that any of these events has; the others would be empty columns. */
const present = (events: readonly Metrics[]): typeof METRIC_ROWS => METRIC_ROWS.filter(({ name }) => events.some((event) => event[name] !== null));

function eventRows({ events }: PageRunText['scored']): { readonly head: string; readonly body: string } {
  const shown = present(events.flatMap((event) => [event, ...(event.fromEngagement === null ? [] : [event.fromEngagement])]));
  const cells = (metrics: Metrics): string =>
    shown.map(({ name, unit }) => {
      const value = metrics[name];
      return value === null ? absentCell(metrics.reasons[name] ?? 'not measured') : `<td class="number">${formatNumber(value, unit)}</td>`;
    }).join('');
  const body = events.flatMap((event, i) => {
    const from = `<td class="number">${formatNumber(event.atS, 's')}</td>`;
    const line = `<tr><th scope="row"><span class="pin">${eventKey(i)}</span> ${escapeHtml(event.name)}<span class="note">${escapeHtml(event.what)}</span></th>${from}${cells(event)}</tr>`;
    if (event.fromEngagement === null) return [line];
    return [line, `<tr class="later"><th scope="row">… from when it takes effect</th><td class="number">${formatNumber(event.engagedS, 's')}</td>${cells(event.fromEngagement)}</tr>`];
  });
  const head = `<th scope="col">event</th><th scope="col" class="number">from, s</th>${shown.map(({ label, unit }) => `<th scope="col" class="number">${escapeHtml(label)}, ${escapeHtml(unit)}</th>`).join('')}`;
  return { head, body: body.join('\n') };
}

/** What each event of each run did; the letters are those of the pins on the traces. */
export function eventsPart(runs: readonly PageRunText[]): PagePart {
  const tables = runs.map(({ name, scored }, i) => {
    const title = runs.length === 1 ? '' : `<h3>${escapeHtml(name)}</h3>`;
    if (scored.events.length === 0) return `<div class="events" data-run="${i}">${title}<p>No events in this drill.</p></div>`;
    const { head, body } = eventRows(scored);
    return `<div class="events" data-run="${i}">${title}${boxed(`Events of ${name}`, `<table><thead><tr>${head}</tr></thead><tbody>\n${body}\n</tbody></table>`)}</div>`;
  });
  return { id: 'events', heading: 'What each event did', about: 'A dash is a number that does not exist; pointing at it says why.', body: tables.join('\n') };
}

/** The sheet as a part: what stands in the body of its own page, headings a level down. @param lines of that page */
export function sheetPart(lines: readonly string[]): PagePart {
  const from = lines.findIndex((line) => line.startsWith('<body'));
  const to = lines.indexOf('</body>');
  if (from < 0 || to < from) throw new RangeError('page: the sheet has no body');
  let count = 0;
  const body = lines.slice(from + 1, to).join('\n')
    .replace(/<(\/?)h2>/g, '<$1h4>').replace(/<(\/?)h1>/g, '<$1h3>')
    .replace(/<th([^>]*)><\/th>/g, '<td$1></td>') // a head without a word heads nothing
    .replace(/<div class="scroll">/g, () => `<div class="scroll" tabindex="0" role="region" aria-label="Table ${++count} of the sheet">`);
  return { id: 'sheet', heading: 'The sheet', about: '', body: `<div class="sheet">${body}</div>` };
}
