/** The program of a page: in the page it draws and listens, in a worker it simulates. Bundled by the build into one file. */
import type { PagePayload } from '../../report/page-payload.js';
import { unpack } from '../../report/page-payload.js';
import type { Scenario } from '../../scenario/table.js';
import { createBench } from './bench.js';
import { createDesk, type Desk, serve } from './desk.js';
import { byId, el, notice } from './dom.js';
import { createFrequencyView } from './frequency-view.js';
import { beginLesson } from './lesson.js';
import { beginLooks } from './look.js';
import { drawFront, drawMap } from './sweep-view.js';
import { createTraces, type Traces } from './traces.js';

/** Margins of the run that is drawn; the newest question counts. */
function createMargins(side: Desk): (scenario: Scenario) => void {
  const view = createFrequencyView(byId('frequency'), true);
  let turn = 0;
  return (scenario) => {
    const mine = ++turn;
    void side.ask({ kind: 'frequency', scenario }).then((answer) => {
      if (mine === turn && answer.kind === 'frequency') view.show(answer.frequency);
    });
  };
}

function begin(): void {
  const program = byId('program').textContent ?? '';
  const payload = JSON.parse(byId('payload').textContent ?? '{}') as PagePayload;
  for (const element of document.querySelectorAll<HTMLElement>('.live')) element.hidden = false;
  beginLooks();
  for (const [draw, name] of [[drawMap, 'map'], [drawFront, 'front']] as const) {
    for (const host of document.querySelectorAll<HTMLElement>(`.${name}`)) draw(host, payload.sweeps[Number(host.dataset.sweep)]!);
  }
  if (payload.lesson !== undefined) {
    beginLesson(payload, payload.lesson, program);
    return;
  }
  const [run] = payload.runs;
  if (run === undefined) return;
  const side = createDesk(program);
  const traces: Traces = createTraces(payload, side, createMargins(side));
  const live = createDesk(program);
  const because = live.missing();
  if (because !== null) {
    notice(`The live bench needs a web worker, and ${because}. Traces and margins are worked out without one, and the page waits for them.`);
    byId('console').textContent = `Not here: ${because}.`;
    return;
  }
  startBench(payload, live, side, traces);
}

/** The bench of the first run, or of another where a page has several. */
function startBench({ runs, sections }: PagePayload, live: Desk, side: Desk, traces: Traces): void {
  let end = (): void => undefined;
  const put = (i: number): void => {
    end();
    ({ end } = createBench(unpack(sections, runs[i]!.scenario), live, side, traces, choice));
  };
  const select = el('select', { id: 'bench-run', onchange: () => put(Number(select.value)) }, ...runs.map(({ name }, i) => el('option', { value: i }, name)));
  const choice = runs.length < 2 ? null : el('p', { class: 'bench-run' }, el('label', { for: 'bench-run' }, 'Engine, settings and start of '), select);
  put(0);
}

if (typeof document === 'undefined') serve();
else begin();
