/** A lesson as a page: `tickover lesson NAME --page out.html`. */
import { type Lesson, type Ran, rightChoice, type Runs } from '../lessons/index.js';
import { traceBits } from '../page/trace-bits.js';
import { pageHtml } from '../report/page-html.js';
import { lessonParts } from '../report/lesson-page.js';
import { createPacker } from '../report/page-payload.js';
import { BENCH, bundle } from './page-parts.js';

/** @param start the exercise as it starts   @returns the whole file */
export function lessonPage(lesson: Lesson, runs: Runs, start: Ran): string {
  const { exercise, name, about, question, choices } = lesson;
  const packer = createPacker();
  const came = rightChoice(lesson, runs);
  const run = (ran: Ran): { name: string; scenario: ReturnType<typeof packer.pack>; bits: string } =>
    ({ name: ran.name, scenario: packer.pack({ ...ran.scenario, title: ran.name }), bits: traceBits(ran.trace) });
  const payload = {
    opens: 'traces' as const, sweeps: [], runs: [run(runs.wrong), run(runs.right)], sections: packer.sections,
    lesson: { start: run(start), mayChange: exercise.mayChange, came: came.letter },
  };
  const parts = lessonParts({
    name, about, question, choices, came, wrong: runs.wrong, right: runs.right, steps: lesson.tell(runs), task: exercise.task, mayChange: exercise.mayChange,
    events: runs.wrong.trace.events.map(({ atS, name: called, what }) => ({ atS, what: what.includes(called) ? what : called })),
  }, { ...BENCH, about: 'The engine of the exercise, running in this page. Move a setting and it takes effect at the next tick.' });
  return pageHtml({ title: `Lesson: ${about}`, payload, parts, program: bundle('page.js'), style: bundle('page.css') });
}
