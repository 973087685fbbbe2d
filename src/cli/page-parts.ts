/** What `page` and `bench` share: scenarios run and told, the program that the build made, the file written. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { traceBits } from '../page/trace-bits.js';
import { pageHtml, type PagePart } from '../report/page-html.js';
import { createPacker, type PagePayload, type PageRun, type PageSweep } from '../report/page-payload.js';
import { eventsPart, type PageRunText, runsPart } from '../report/page-sections.js';
import { sweepPart } from '../report/page-sweep.js';
import { type Scenario, warningsOf } from '../scenario/index.js';
import { BadInput } from './failure.js';
import { runScenario, titleOf } from './run.js';

export interface Told {
  readonly text: PageRunText;
  readonly run: PageRun;
}

/** Runs scenarios for a page. @param named scenarios with the file each comes from, and whether that holds several */
export function tellRuns(named: readonly { readonly scenario: Scenario; readonly file: string; readonly several: boolean }[]): { readonly told: readonly Told[]; readonly sections: readonly unknown[] } {
  const packer = createPacker();
  const told = named.map(({ scenario, file, several }) => {
    const { trace, scored } = runScenario(scenario);
    const name = titleOf(scenario, file, several);
    return { text: { name, notes: warningsOf(scenario), scored }, run: { name, scenario: packer.pack(scenario), bits: traceBits(trace) } };
  });
  return { told, sections: packer.sections };
}

/** Where the build puts what runs in the browser; the same from `dist/command` and from `dist/cli`. */
export const bundle = (name: string): string => {
  const path = fileURLToPath(new URL(`../page/bundle/${name}`, import.meta.url));
  try {
    return readFileSync(path, 'utf8');
  } catch {
    throw new BadInput([`${path}: the page's program is not there; npm run build makes it`]);
  }
};

const TRACES: PagePart = { id: 'traces', heading: 'Traces', about: '', live: true, body: '<div id="strips"></div>' };
const MARGINS: PagePart = { id: 'margins', heading: 'Room before it hunts', about: 'The linear model of the idle of the run that is drawn, in neutral, at the coolant temperature of its start.', live: true, body: '<div id="frequency"></div>' };
export const BENCH: PagePart = {
  id: 'bench', heading: 'The live bench', live: true, body: '<div id="console"></div>',
  about: 'The same engine and controller, running in this page. Move a setting and it takes effect at the next tick.',
};

export interface PageContent {
  readonly title: string;
  readonly opens: PagePayload['opens'];
  readonly told: readonly Told[];
  readonly sections: readonly unknown[];
  readonly sweeps: readonly PageSweep[];
  /** Parts made elsewhere that follow: the sheet. */
  readonly more: readonly PagePart[];
}

/** The whole file. */
export function pageText({ title, opens, told, sections, sweeps, more }: PageContent): string {
  const texts = told.map(({ text }) => text);
  const drawn = texts.length === 0 ? [] : [runsPart(texts), TRACES, eventsPart(texts), MARGINS];
  const bench = texts.length === 0 ? [] : [BENCH];
  const parts = [...(opens === 'bench' ? [...bench, ...drawn] : drawn), ...(sweeps.length === 0 ? [] : [sweepPart(sweeps)]), ...more, ...(opens === 'bench' ? [] : bench)];
  return pageHtml({ title, payload: { opens, sections, runs: told.map(({ run }) => run), sweeps }, parts, program: bundle('page.js'), style: bundle('page.css') });
}
