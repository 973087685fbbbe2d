/** The traces: the run that is chosen, others laid over it, its events as pins and buttons, its loops' margins below. */
import { eventKey } from '../../report/text.js';
import { formatNumber, plural } from '../../report/numbers.js';
import { type PagePayload, unpack } from '../../report/page-payload.js';
import type { Scenario } from '../../scenario/table.js';
import type { DrawnRun } from '../messages.js';
import { align } from './align.js';
import type { Desk } from './desk.js';
import { button, byId, el, notice } from './dom.js';
import { addMoves } from './keys.js';
import { onLook } from './look.js';
import { createReadout } from './readout.js';
import { type OverRun, type StripRun, stripsOf } from './run-strips.js';
import { createStrips } from './strips.js';

interface Known {
  readonly name: string;
  readonly scenario: Scenario;
  /** Fingerprint that the command line computed; null for a run of the bench. */
  readonly bits: string | null;
}

export interface Traces {
  /** Adds the drill with other settings to what can be laid over, and does so. */
  lay(name: string, scenario: Scenario): Promise<string>;
}

/** @param onRun told the scenario that is drawn */
export function createTraces(payload: PagePayload, desk: Desk, onRun: (scenario: Scenario) => void): Traces {
  const known: Known[] = payload.runs.map(({ name, scenario, bits }) => ({ name, scenario: unpack(payload.sections, scenario), bits }));
  const ran = new Map<number, Promise<DrawnRun>>();
  let shown: { run: StripRun; over: readonly OverRun[] } | null = null;
  let endS = 1;
  const readout = createReadout();
  const strips = createStrips('traces', (row) => shown !== null && readout.show(shown.run, shown.over, row), () => undefined);
  const moves = addMoves(strips, { timeS: () => shown?.run.timeS ?? [], endS: () => endS });
  const pins = el('div', { class: 'pins', role: 'group', 'aria-label': 'Events' });
  const bits = el('p', { class: 'bits' });
  byId('strips').append(el('div', { class: 'tools' }, pins, moves), el('div', { class: 'beside' }, strips.element, readout.element), bits);
  onLook(() => strips.redraw());

  const runOf = (i: number): Promise<DrawnRun> => {
    let run = ran.get(i);
    if (run === undefined) {
      run = desk.ask({ kind: 'run', scenario: known[i]!.scenario }).then((answer) => {
        if (answer.kind === 'ran') return answer.run;
        throw new Error(answer.kind === 'refused' ? answer.because : 'another answer');
      });
      ran.set(i, run);
    }
    return run;
  };
  const chosen = (): number => Number(document.querySelector<HTMLInputElement>('input[name=drawn]:checked')?.value ?? 0);
  const laid = (): readonly number[] => [...document.querySelectorAll<HTMLInputElement>('input[name=over]:checked')].map(({ value }) => Number(value));

  const tellBits = (i: number, run: DrawnRun): void => {
    const { bits: wanted } = known[i]!;
    const thinned = run.drawn.by > 1 ? ` Drawn: lowest and highest of every ${run.drawn.by} of ${plural(run.rows, 'row')}.` : '';
    bits.textContent = wanted === null ? '' : wanted === run.bits ? `Run again in this browser: the same bits as on the command line (${run.bits}).${thinned}` : `Run again in this browser: NOT the same bits as on the command line (${run.bits} here, ${wanted} there). The tables are those of the command line.${thinned}`;
  };

  const tellPins = (run: DrawnRun): void => {
    const show = (atS: number) => (): void => {
      const span = Math.min(endS, 6);
      const from = Math.max(0, Math.min(endS - span, atS - 1));
      strips.look({ from, to: from + span });
      strips.point(rowAt(run.drawn.timeS, atS));
      strips.element.scrollIntoView({ block: 'nearest' });
    };
    pins.replaceChildren(...run.events.map(({ atS }) => button('', show(atS), { class: 'event' })));
    for (const [i, element] of [...pins.children].entries()) {
      const { name, atS } = run.events[i]!;
      const told = run.told[i] ?? '';
      element.append(el('b', { class: 'pin' }, eventKey(i)), ` ${name}, ${formatNumber(atS, 's')} s`, el('span', { class: 'note' }, told));
    }
  };

  let turn = 0;
  const draw = async (): Promise<void> => {
    const [i, mine] = [chosen(), ++turn];
    const others = laid().filter((other) => other !== i);
    try {
      const [run, ...over] = await Promise.all([i, ...others].map(runOf)) as [DrawnRun, ...DrawnRun[]];
      if (mine !== turn) return; // something else was chosen meanwhile
      const { timeS, own, others: laidOver } = align({ timeS: run.drawn.timeS, columns: run.drawn.columns }, over.map(({ drawn }) => drawn));
      const named = laidOver.map((columns, j) => ({ name: known[others[j]!]!.name, columns }));
      shown = { run: { name: known[i]!.name, timeS, columns: own, airUnit: run.airUnit, open: run.open }, over: shortNames(known[i]!.name, named) };
      endS = Math.max(run.endS, ...over.map((each) => each.endS));
      strips.show({ timeS, strips: stripsOf(shown.run, shown.over), open: run.open, endS: run.endS, pins: run.events.map(({ atS }, e) => ({ atS, letter: eventKey(e) })) }, { from: 0, to: Math.max(endS, 1e-3) });
      readout.show(shown.run, shown.over, null);
      tellBits(i, run);
      tellPins(run);
      for (const table of document.querySelectorAll<HTMLElement>('[data-run]')) table.hidden = table.dataset.run !== String(i);
      onRun(known[i]!.scenario);
    } catch (error) {
      notice(`This run could not be drawn: ${(error as Error).message}`);
    }
  };
  document.querySelector('.runs')?.addEventListener('change', () => void draw());
  void draw();

  return {
    async lay(name, scenario) {
      let i = known.findIndex((each) => each.name === name);
      if (i < 0) {
        i = known.push({ name, scenario, bits: null }) - 1;
        document.querySelector('.runs tbody')?.append(el('tr', {}, el('td', { class: 'pick' }), el('td', { class: 'pick' }, el('input', { type: 'checkbox', name: 'over', value: i, checked: true, 'aria-label': `Lay ${name} over it` })), el('th', { scope: 'row' }, name), el('td'), el('td'), el('td', { class: 'words' })));
      } else known[i] = { name, scenario, bits: null };
      ran.delete(i);
      const { verdict } = await runOf(i);
      const row = document.querySelector(`input[name=over][value="${i}"]`)?.closest('tr');
      row?.querySelector('.words')?.replaceChildren(verdict);
      await draw();
      return verdict;
    },
  };
}

function rowAt(timeS: ArrayLike<number>, at: number): number {
  let k = 0;
  while (k < timeS.length - 1 && (timeS[k] as number) < at - 1e-9) k++;
  return k;
}

/** The drill's name alone where that tells the runs apart. */
function shortNames(own: string, over: readonly OverRun[]): readonly OverRun[] {
  const drillOf = (name: string): string => name.slice(name.lastIndexOf(' · ') + 1).replace(/^· /, '');
  const drills = over.map(({ name }) => drillOf(name));
  const clear = new Set(drills).size === drills.length && !drills.includes(own);
  return clear ? over.map(({ columns }, i) => ({ name: drills[i]!, columns })) : over;
}
