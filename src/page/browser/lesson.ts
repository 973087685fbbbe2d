/** The page of a lesson: a prediction first, then both runs beside what happened step by step, then an exercise on the bench. */
import { formatNumber } from '../../report/numbers.js';
import { type PageLesson, type PagePayload, unpack } from '../../report/page-payload.js';
import type { Scenario } from '../../scenario/table.js';
import { changedElsewhere, rowAt } from '../lesson.js';
import type { DrawnRun } from '../messages.js';
import { createBench } from './bench.js';
import { createDesk, type Desk } from './desk.js';
import { button, byId, el, notice } from './dom.js';
import { addMoves } from './keys.js';
import { type Twin, twinStrips } from './lesson-strips.js';
import { onLook, type Tone } from './look.js';
import { createReadout } from './readout.js';
import { createStrips, type Window } from './strips.js';

const [WRONG, RIGHT, YOURS]: readonly [Tone, Tone, Tone] = ['second', 'speed', 'third'];

/** Width of a pin with room for its neighbour, and what axis and names take of a strip, CSS pixels. */
const [PIN_PX, NAMES_PX] = [24, 150];

async function ran(desk: Desk, scenario: Scenario): Promise<DrawnRun> {
  const answer = await desk.ask({ kind: 'run', scenario });
  if (answer.kind === 'ran') return answer.run;
  throw new Error(answer.kind === 'refused' ? answer.because : 'another answer');
}

/** Shows the rest once the reader has said what to expect, or has passed. */
function askFirst({ came }: PageLesson, show: () => void): void {
  const said = byId('predicted');
  const chosen = (): string | undefined => document.querySelector<HTMLInputElement>('input[name=predicted]:checked')?.value;
  const reveal = (text: string): void => {
    said.textContent = text;
    for (const input of document.querySelectorAll<HTMLInputElement>('input[name=predicted]')) input.disabled = true;
    byId('predict').parentElement!.hidden = true;
    document.body.classList.add('told');
    show();
    const heading = byId('happened-h');
    heading.tabIndex = -1;
    heading.focus();
  };
  byId('predict').addEventListener('click', () => {
    const letter = chosen();
    if (letter === undefined) said.textContent = 'Choose a, b or c first, or go on without a prediction.';
    else reveal(letter === came ? `You expected ${letter}, and so it came.` : `You expected ${letter}; what came is ${came}.`);
  });
  byId('pass').addEventListener('click', () => reveal('Nothing predicted.'));
}

/** Both runs, and the steps: each takes the cursor to its moment. */
async function tell(payload: PagePayload, desk: Desk): Promise<void> {
  const names = payload.runs.map(({ name }) => name);
  const runs = await Promise.all(payload.runs.map(({ scenario }) => ran(desk, unpack(payload.sections, scenario))));
  const twins = runs.map((run, i): Twin => ({ name: names[i]!, tone: i === 0 ? WRONG : RIGHT, run }));
  const { timeS, columns, strips: drawn } = twinStrips(twins);
  const endS = Math.max(...runs.map((run) => run.endS));
  const run = { name: names[0]!, timeS, columns: columns[0]!, airUnit: runs[0]!.airUnit, open: runs[0]!.open };
  const over = [{ name: names[1]!, columns: columns[1]! }];
  const readout = createReadout();
  const strips = createStrips('lesson', (row) => readout.show(run, over, row), () => undefined);
  const moves = addMoves(strips, { timeS: () => timeS, endS: () => endS });
  const same = runs.every(({ bits }, i) => bits === payload.runs[i]!.bits);
  const current = el('p', { class: 'current', role: 'status' });
  const walk = el('div', { class: 'walk' }, button('◂ step before', () => goTo(Math.max(0, now() - 1))), button('next step ▸', () => goTo(Math.min(items.length - 1, now() + 1))), current);
  const items = [...document.querySelectorAll<HTMLElement>('.steps li[data-at]')];
  byId('strips').append(
    ...(items.length === 0 ? [] : [walk]), strips.element, moves, el('p', { class: 'bits' }, same ? 'Run again in this browser: the same bits as where the words were taken from.' : 'Run again in this browser: NOT the same bits as where the words were taken from. The words are those of the command line.'),
    el('details', {}, el('summary', {}, 'Every number at the cursor'), readout.element),
  );
  const window = about([...items.map(({ dataset }) => Number(dataset.at)), ...runs[0]!.events.map(({ atS }) => atS)], endS);
  strips.show({ timeS, strips: drawn, open: [], endS, pins: pinsOf(items, window, strips.element.clientWidth) }, window);
  readout.show(run, over, null);
  onLook(() => strips.redraw());

  const goTo = (i: number): void => {
    const item = items[i];
    if (item === undefined) return;
    const atS = Number(item.dataset.at);
    const { from, to } = strips.window();
    if (atS < from || atS > to) strips.look({ from: Math.max(0, Math.min(endS - (to - from), atS - (to - from) / 2)), to: Math.min(endS, Math.max(to - from, atS + (to - from) / 2)) });
    strips.point(rowAt(timeS, atS));
    for (const other of items) {
      if (other === item) other.setAttribute('aria-current', 'step');
      else other.removeAttribute('aria-current');
    }
    current.textContent = `${i + 1}: ${item.querySelector('.says')?.textContent ?? ''}`;
  };
  const now = (): number => items.findIndex((item) => item.hasAttribute('aria-current'));
  for (const [i, item] of items.entries()) {
    const when = item.querySelector('.when')!;
    const to = button('', () => goTo(i), { class: 'when' });
    to.append(...when.childNodes, el('span', { class: 'unseen' }, ': put the cursor there'));
    when.replaceWith(to);
  }
}

/** The stretch in which it all happens, with some room; all of it where nothing has a time. */
function about(times: readonly number[], endS: number): Window {
  if (times.length === 0) return { from: 0, to: endS };
  const [first, last] = [Math.min(...times), Math.max(...times)];
  const room = Math.max(0.5, 0.15 * (last - first));
  return { from: Math.max(0, first - room), to: Math.min(endS, last + 2 * room) };
}

/** A pin for each step; steps of about one moment share theirs. */
function pinsOf(items: readonly HTMLElement[], { from, to }: Window, width: number): readonly { readonly atS: number; readonly letter: string }[] {
  const steps = items.map((item, i) => ({ atS: Number(item.dataset.at), number: i + 1 })).sort((a, b) => a.atS - b.atS || a.number - b.number);
  const pins: { atS: number; numbers: number[] }[] = [];
  for (const { atS, number } of steps) {
    const last = pins.at(-1);
    if (last !== undefined && atS - last.atS < (PIN_PX / Math.max(200, width - NAMES_PX)) * (to - from)) last.numbers.push(number);
    else pins.push({ atS, numbers: [number] });
  }
  return pins.map(({ atS, numbers }) => ({ atS, letter: numbers.join(' ') }));
}

/** The exercise: its start beside what the bench is set to, and whether that passes. */
function createCheck(payload: PagePayload, lesson: PageLesson, desk: Desk): (scenario: Scenario) => Promise<string> {
  const start = unpack(payload.sections, lesson.start.scenario);
  const said = byId('checked');
  const strips = createStrips('exercise', () => undefined, () => undefined);
  onLook(() => strips.redraw());
  return async (scenario) => {
    const elsewhere = changedElsewhere(start, scenario, lesson.mayChange);
    if (elsewhere.length > 0) {
      const text = `Not checked: ${elsewhere.join(', ')} ${elsewhere.length === 1 ? 'was' : 'were'} changed too, and the exercise is about ${lesson.mayChange.join(', ')}.`;
      said.replaceChildren(el('p', { class: 'warn' }, text));
      return text;
    }
    said.replaceChildren(el('p', {}, 'It is run …'));
    const [before, yours] = await Promise.all([ran(desk, start), ran(desk, scenario)]);
    said.replaceChildren(
      el('p', { class: yours.failed ? 'warn' : 'good' }, el('b', {}, yours.failed ? 'Not yet. ' : 'Passed. '), yours.verdict),
      el('ul', {}, ...yours.why.map(({ atS, says }) => el('li', {}, `${formatNumber(atS, 's')} s: ${says}`))),
    );
    const { timeS, strips: drawn } = twinStrips([{ name: lesson.start.name, tone: WRONG, run: before }, { name: 'yours', tone: YOURS, run: yours }]);
    if (strips.element.parentElement === null) byId('exercise-strips').append(strips.element);
    const endS = Math.max(before.endS, yours.endS);
    strips.show({ timeS, strips: drawn, open: [], endS, pins: [] }, { from: 0, to: endS });
    return yours.verdict;
  };
}

/** The setting that the exercise is about, put before the reader's eyes. */
function findSetting(mayChange: readonly string[]): void {
  const [first = '', ...others] = mayChange;
  const shared = others.length === 0 ? first : first.slice(0, first.lastIndexOf('.') + 1);
  const find = byId('find-knob') as HTMLInputElement;
  find.value = shared;
  find.dispatchEvent(new Event('input'));
}

export function beginLesson(payload: PagePayload, lesson: PageLesson, program: string): void {
  const side = createDesk(program);
  const live = createDesk(program);
  const check = createCheck(payload, lesson, side);
  askFirst(lesson, () => {
    tell(payload, side).catch((error: Error) => notice(`The runs could not be drawn: ${error.message}`));
    const because = live.missing();
    if (because !== null) {
      notice(`The live bench needs a web worker, and ${because}. The runs are worked out without one, and the page waits for them.`);
      byId('console').textContent = `Not here: ${because}.`;
      byId('check').parentElement!.hidden = true;
      return;
    }
    const bench = createBench(unpack(payload.sections, lesson.start.scenario), live, side, { lay: (_, scenario) => check(scenario), label: 'check the exercise with these settings' }, null);
    findSetting(lesson.mayChange);
    byId('check').addEventListener('click', () => void check(bench.scenario()).catch((error: Error) => notice(error.message)));
  });
}
