/** The settings as they stand, back as the text of a file that `run` takes, with what was done to the engine as its drill. */
import type { DrillEvent } from '../../loop/parameters.js';
import type { TraceEvent } from '../../loop/trace.js';
import type { Scenario } from '../../scenario/table.js';
import { scenarioText } from '../scenario-text.js';
import { button, el } from './dom.js';

export interface BenchNow {
  readonly scenario: Scenario;
  readonly pressed: readonly DrillEvent[];
  /** What was pressed, with its moment; in the same order. */
  readonly events: readonly TraceEvent[];
  readonly timeS: number;
}

/** Time after the last event that the copied drill runs on, s. */
const AFTER_S = 8;
const MOST_EVENTS = 200;

/** The drill of the file where nothing was pressed; what was pressed, at its times, where something was. */
export function copied({ scenario, pressed, events, timeS }: BenchNow): string {
  const played = pressed.slice(0, Math.min(MOST_EVENTS, events.length)).map((event, i) => ({ ...event, at: events[i]!.atS }));
  const head = ['Copied from a live bench of tickover: settings as they stood then.', 'Simulated, not measured. Outdoors or extracted, wheels chocked, brake on.'];
  if (played.length === 0) return scenarioText(scenario, head);
  const { step } = scenario.run;
  const duration = Math.round((Math.min(timeS, played.at(-1)!.at) + AFTER_S) / step) * step;
  return scenarioText({
    ...scenario,
    drill: { ...scenario.drill, name: 'as played at the bench', events: played },
    run: { ...scenario.run, duration: Number(duration.toPrecision(12)) },
  }, [...head, 'The drill is what was played; the whole of it runs with these settings.']);
}

export function createCopy(now: () => BenchNow): HTMLElement {
  const text = el('textarea', { rows: 14, readonly: true, 'aria-label': 'The scenario as a file', spellcheck: 'false', hidden: true });
  const said = el('p', { role: 'status' });
  const copy = button('copy as scenario', () => {
    text.value = copied(now());
    text.hidden = false;
    text.select();
    const done = (): void => {
      said.textContent = 'Copied. Save it as a .yaml file; tickover run takes it.';
    };
    const byHand = (): void => {
      said.textContent = 'Select the text and copy it; this browser does not let a page do it. Save it as a .yaml file; tickover run takes it.';
    };
    if (navigator.clipboard === undefined) byHand();
    else navigator.clipboard.writeText(text.value).then(done, byHand);
  });
  return el('div', { class: 'copy' }, copy, said, text);
}
