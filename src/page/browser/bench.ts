/** The live bench: a run that goes on while settings are turned, its strips, its margins, A against B, and the way back to a file. */
import type { DrillEvent } from '../../loop/parameters.js';
import { eventKey } from '../../report/text.js';
import { formatNumber, seconds } from '../../report/numbers.js';
import type { Scenario } from '../../scenario/table.js';
import type { LiveStretch } from '../messages.js';
import { createControls } from './controls.js';
import { createCopy } from './copy.js';
import type { Desk } from './desk.js';
import { button, byId, el } from './dom.js';
import { createFrequencyView } from './frequency-view.js';
import { differences, freeze, type Ghost, under } from './ghost.js';
import { createKnobs } from './knobs.js';
import { onLook } from './look.js';
import { newestOnly } from './newest.js';
import { stripsOf } from './run-strips.js';
import { createStrips } from './strips.js';
import { createTape, type TapeColumns } from './tape.js';
import type { Traces } from './traces.js';

/** Time shown, s, and engine seconds a second. */
const SHOWN = [6, 12, 30, 60] as const;
const PACES = [['quarter speed', 0.25], ['real time', 1], ['4 × faster', 4], ['16 × faster', 16]] as const;
/** Longest time that one frame stands for: a page in the background does not catch up. */
const LONGEST_FRAME_S = 0.1;

const menu = (label: string, options: readonly (readonly [text: string, value: number])[], chosen: number): HTMLSelectElement =>
  el('select', { 'aria-label': label }, ...options.map(([text, value]) => el('option', { value, selected: value === chosen }, text)));

/** Where a drill with the bench's settings is laid over others, and what its button says. */
export interface WholeDrill {
  readonly lay: Traces['lay'];
  readonly label?: string;
}

export interface Bench {
  /** With the settings as they stand. */
  scenario(): Scenario;
  end(): void;
}

/**
 * @param live worker of the live run   @param side worker of margins and whole drills
 * @param drill what runs the whole drill with these settings
 * @param choice what picks another scenario for the bench, or null
 */
export function createBench(first: Scenario, live: Desk, side: Desk, drill: WholeDrill, choice: HTMLElement | null): Bench {
  const host = byId('console');
  const tape = createTape();
  const strips = createStrips('bench', () => undefined, () => undefined);
  const state = el('p', { class: 'state', role: 'status' });
  const outcome = el('p', { class: 'state' });
  const [pace, shown] = [menu('Pace', PACES, 1), menu('Time shown', SHOWN.map((s) => [`${s} s shown`, s] as const), 12)];
  const pressed: DrillEvent[] = [];
  let latest: LiveStretch | null = null;
  let ghost: Ghost | null = null;
  let running = true;
  let asked = false;
  let before: number | null = null;
  let owed = 0;

  const refused = (because: string): void => {
    state.textContent = `Not done: ${because}.`;
  };
  const tell = async (question: Parameters<Desk['ask']>[0]): Promise<boolean> => {
    const answer = await live.ask(question);
    if (answer.kind === 'live') take(answer.stretch);
    else if (answer.kind === 'refused') refused(answer.because);
    return answer.kind === 'live';
  };
  const take = (stretch: LiveStretch): void => {
    latest = stretch;
    tape.add(stretch);
    draw();
  };

  const start = async (): Promise<void> => {
    pressed.length = 0;
    latest = null;
    tape.clear();
    const controls = createControls(knobs.scenario(), press);
    hands.replaceChildren(controls);
    state.textContent = '';
    run(true);
    await tell({ kind: 'start', scenario: knobs.scenario() });
  };
  const press = (event: DrillEvent): void => {
    void tell({ kind: 'press', event }).then((done) => {
      if (done) pressed.push(event);
    });
  };
  const change = newestOnly((scenario: Scenario) => tell({ kind: 'change', scenario }));
  const margins = el('div', { class: 'live-margins' });
  const view = createFrequencyView(margins, false);
  const askMargins = newestOnly(async (scenario: Scenario) => {
    const answer = await side.ask({ kind: 'frequency', scenario });
    if (answer.kind === 'frequency') view.show(answer.frequency);
  });
  const changed = (scenario: Scenario): void => {
    change(scenario);
    askMargins(scenario);
    tellDifferences();
  };
  const knobs = createKnobs(first, changed);

  const draw = (): void => {
    if (latest === null) return;
    const span = Number(shown.value);
    const from = Math.max(0, latest.timeS - span);
    const columns = tape.since(from);
    const { timeS } = columns;
    const letters = latest.events.map(({ atS }, i) => ({ atS, letter: eventKey(i) })).filter(({ atS }) => atS >= from);
    const anchorS = ghost?.byEvent === true && latest.events.length > 0 ? latest.events.at(-1)!.atS : latest.timeS;
    const over = ghost === null ? [] : [{ name: 'A', columns: under(ghost, timeS, anchorS) }];
    const unit = first.engine.model !== 'regression' && first.valve.kind === 'stepper' ? 'step' : '%';
    const all = stripsOf({ name: 'live', timeS, columns, airUnit: unit, open: latest.open }, over, true);
    strips.show({ timeS, strips: all, open: latest.open, endS: latest.timeS, pins: letters }, { from, to: from + span });
    tellState(columns);
  };
  const tellState = ({ timeS, speedRpm }: TapeColumns): void => {
    if (latest === null || timeS.length === 0) return;
    if (latest.stalled !== null) {
      state.textContent = `At ${seconds(latest.timeS)}: ${latest.stalled}.`;
      run(false);
      return;
    }
    const event = latest.events.at(-1);
    let text = `${seconds(latest.timeS)}: ${formatNumber(speedRpm.at(-1)!, 'rpm')} rpm`;
    if (event !== undefined) {
      let [low, high] = [Number.POSITIVE_INFINITY, 0];
      for (let k = timeS.length - 1; k >= 0 && timeS[k]! >= event.atS; k--) [low, high] = [Math.min(low, speedRpm[k]!), Math.max(high, speedRpm[k]!)];
      if (high > 0) text += `; since ${eventKey(latest.events.length - 1)} (${event.what}): lowest ${formatNumber(low, 'rpm')}, highest ${formatNumber(high, 'rpm')}`;
    }
    if (text !== outcome.textContent) outcome.textContent = text;
  };

  let ended = false;
  const frame = (now: number): void => {
    if (ended) return;
    requestAnimationFrame(frame);
    if (before !== null && running && latest !== null && latest.stalled === null) owed += Math.min(LONGEST_FRAME_S, (now - before) / 1e3) * Number(pace.value);
    before = now;
    if (asked || owed <= 0) return;
    asked = true;
    const due = owed;
    owed = 0;
    void tell({ kind: 'advance', seconds: due }).finally(() => {
      asked = false;
    });
  };

  const run = (on: boolean): void => {
    running = on;
    pause.textContent = on ? 'hold' : 'go on';
    pause.setAttribute('aria-pressed', String(!on));
  };
  const pause = button('hold', () => {
    if (!running) state.textContent = '';
    run(!running);
  }, { 'aria-pressed': 'false' });

  const different = el('ul', { class: 'different' });
  const tellDifferences = (): void => {
    different.replaceChildren(...(ghost === null ? [] : differences(ghost.scenario, knobs.scenario()).map((text) => el('li', {}, text))));
  };
  const keepA = button('freeze as A', () => {
    if (latest === null) return;
    ghost = freeze(knobs.scenario(), tape.since(Math.max(0, latest.timeS - Number(shown.value))), latest.events.filter(({ atS }) => atS >= latest!.timeS - Number(shown.value)));
    for (const each of [backToA, dropA]) each.disabled = false;
    tellDifferences();
    draw();
  });
  const backToA = button('back to A’s settings', () => {
    if (ghost === null) return;
    const now = knobs.scenario();
    const next = ghost.scenario;
    ghost = latest === null ? ghost : { ...freeze(now, tape.since(Math.max(0, latest.timeS - Number(shown.value))), latest.events) };
    knobs.put(next);
    changed(next);
  }, { disabled: true });
  const dropA = button('forget A', () => {
    ghost = null;
    for (const each of [backToA, dropA]) each.disabled = true;
    tellDifferences();
    draw();
  }, { disabled: true });
  const wholeDrill = button(drill.label ?? 'whole drill, with these settings', () => {
    outcome.textContent = 'The drill is run …';
    void drill.lay('bench', knobs.scenario()).then((verdict) => {
      outcome.textContent = drill.label === undefined ? `The drill with these settings, laid over the traces: ${verdict}` : verdict;
    }, (error: Error) => refused(error.message));
  });
  const asFiled = button('settings as in the file', () => {
    knobs.put(first);
    changed(first);
  });

  const hands = el('div');
  const copy = createCopy(() => ({ scenario: knobs.scenario(), pressed, events: latest?.events ?? [], timeS: latest?.timeS ?? 0 }));
  host.replaceChildren(
    ...(choice === null ? [] : [choice]),
    el('div', { class: 'bar' }, pause, button('start anew', () => void start()), pace, shown, keepA, backToA, dropA, wholeDrill, asFiled),
    hands, state, outcome, different,
    el('div', { class: 'desk' }, el('div', {}, strips.element, copy), el('div', { class: 'side' }, el('h3', {}, 'Margins with these settings'), margins, el('h3', {}, 'Settings'), knobs.element)),
  );
  shown.addEventListener('change', draw);
  onLook(() => strips.redraw());
  void start();
  askMargins(first);
  requestAnimationFrame(frame);
  return {
    scenario: () => knobs.scenario(),
    end() {
      ended = true;
    },
  };
}
