/** `tickover lesson`: a question, a prediction, two runs, what happened, and an exercise that is checked. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { AnswerError, judge, type Lesson, LESSONS, readAnswer, rightChoice, runLesson, runSide } from '../lessons/index.js';
import { cautionLine, compareTable, eventTable, overlayCharts, traceCharts } from '../report/index.js';
import { lessonList, outcomeLines, questionLines, stepLines } from '../report/lesson-text.js';
import { runPicture } from '../report/svg/run-picture.js';
import { formatProblem, ScenarioError } from '../scenario/index.js';
import { nearestName, quote, SET } from '../scenario/problem.js';
import { ask, INTERRUPTED, LETTERS } from './ask.js';
import { BadInput, EXIT } from './failure.js';
import { reason, STANDARD_OUTPUT, writeWhole } from './files.js';
import { checkPage } from './page.js';
import { lessonPage } from './lesson-page.js';
import { checkPicture, isPictureAlone, writePicture } from './picture.js';
import { pictured } from './run.js';
import { sentence, type Terminal } from './terminal.js';

export interface LessonOptions {
  readonly predict?: string;
  readonly answer?: string;
  readonly page?: string;
  readonly svg?: string;
}

/** Where the scenarios of lessons are; the same from `dist/command` and from `dist/cli`. */
const FOLDER = fileURLToPath(new URL('../../scenarios/lessons/', import.meta.url));

const read = (path: string): string => readFileSync(path, 'utf8');

/** @throws BadInput naming the nearest lesson */
function named(name: string): Lesson {
  const found = LESSONS.find((lesson) => lesson.name === name.trim().toLowerCase());
  if (found !== undefined) return found;
  const names = LESSONS.map((lesson) => lesson.name);
  const near = nearestName(name, names);
  throw new BadInput([`no lesson is called ${quote(name)}${near === null ? '' : `; did you mean ${near}?`}`, `lessons: ${names.join(', ')}`]);
}

/** @returns the exit code: 0, 1 when an answer does not pass, 130 after an interrupt at the question */
export async function lesson(name: string | undefined, options: LessonOptions, terminal: Terminal): Promise<number> {
  const predict = options.predict?.trim().toLowerCase();
  if (predict !== undefined && !LETTERS.includes(predict)) throw new BadInput([`--predict: ${options.predict} is none of a, b, c`]);
  if (name === undefined) {
    const given = Object.keys(options)[0];
    if (given !== undefined) throw new BadInput([`--${given}: the name of a lesson is wanted before it; tickover lesson lists them`]);
    terminal.out([...lessonList(LESSONS, terminal.layout), '', ...sentence('tickover lesson NAME runs one; tickover lesson NAME --answer settings.yaml checks its exercise.', terminal), ...sentence(cautionLine(), terminal)]);
    return EXIT.ok;
  }
  const found = named(name);
  if (options.answer !== undefined) {
    if (predict !== undefined || options.page !== undefined || options.svg !== undefined) throw new BadInput(['--answer checks the exercise alone: leave out --predict, --page and --svg']);
    return check(found, options.answer, terminal);
  }
  if (options.page !== undefined && options.svg !== undefined) throw new BadInput(['--page and --svg: give one of them']);
  if (options.page !== undefined) {
    if (predict !== undefined) throw new BadInput(['--page: leave out --predict; the page asks for it itself']);
    return writePage(found, options.page, terminal);
  }
  if (options.svg !== undefined) {
    if (predict !== undefined) throw new BadInput(['--svg: leave out --predict; it draws both runs and asks nothing']);
    return drawLesson(found, options.svg, terminal);
  }
  return teach(found, predict, terminal);
}

/** Both runs of a lesson as a picture. */
async function drawLesson(lesson: Lesson, svg: string, terminal: Terminal): Promise<number> {
  checkPicture({ svg }, []);
  const { wrong, right } = await runLesson(lesson, FOLDER, read);
  writePicture({ svg }, () => [runPicture(lesson.about, [right, wrong].map((ran) => pictured(ran, ran.name)))]);
  if (!isPictureAlone({ svg })) terminal.out([...sentence(`${svg}: both runs of the lesson, drawn.`, terminal), ...sentence(cautionLine(), terminal)]);
  return EXIT.ok;
}

async function teach(lesson: Lesson, predict: string | undefined, terminal: Terminal): Promise<number> {
  const { layout } = terminal;
  terminal.out(['', ...questionLines(lesson, layout), '']);
  const predicted = predict ?? (process.stdin.isTTY === true && process.stdout.isTTY === true ? await ask(process.stdin, process.stdout) : null);
  if (predicted === INTERRUPTED) {
    terminal.err('interrupted: nothing was run');
    return EXIT.interrupted;
  }
  const runs = await runLesson(lesson, FOLDER, read);
  const both = [runs.wrong, runs.right];
  terminal.out([
    ...overlayCharts(both, layout),
    '',
    ...outcomeLines(predicted, rightChoice(lesson, runs), layout),
    '',
    ...stepLines(lesson.tell(runs), layout),
    '',
    ...compareTable(both, { columns: layout.columns, colour: layout.colour }),
    '',
    ...sentence(`Exercise: ${lesson.exercise.task}`, terminal),
    ...sentence(`Write ${lesson.exercise.mayChange.join(', ')} to a file, such as settings.yaml, and check it: tickover lesson ${lesson.name} --answer settings.yaml`, terminal),
  ]);
  terminal.out(sentence(cautionLine(), terminal));
  return EXIT.ok;
}

async function writePage(lesson: Lesson, path: string, terminal: Terminal): Promise<number> {
  checkPage(path, []);
  writeWhole(path, [lessonPage(lesson, await runLesson(lesson, FOLDER, read), await runSide(lesson.exercise.start, FOLDER, read))]);
  if (path !== STANDARD_OUTPUT) terminal.out([...sentence(`${path}: the lesson as a page, with both runs, the exercise and the live bench; nothing from the network.`, terminal), ...sentence(cautionLine(), terminal)]);
  return EXIT.ok;
}

async function check(lesson: Lesson, file: string, terminal: Terminal): Promise<number> {
  let text: string;
  try {
    text = read(file);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    throw new BadInput([`${file}: cannot be read: ${code === 'ENOENT' ? 'it is not there' : reason(error)}`]);
  }
  try {
    const settings = readAnswer(text, file, lesson);
    const ran = await runSide(lesson.exercise.start, FOLDER, read, settings.map(({ key, text: value }) => `${key}=${value}`)).catch((error: unknown) => {
      if (!(error instanceof ScenarioError)) throw error;
      // what came by the answer is told with its place there
      const placed = error.problems.map((problem) => {
        const at = settings.find(({ key }) => key === problem.path) ?? settings.find(({ key }) => problem.path !== '' && key.startsWith(problem.path));
        return problem.file === SET.file ? formatProblem({ ...problem, file: at?.place ?? file, line: 0, column: 0 }) : formatProblem(problem);
      });
      throw new BadInput([...placed, 'nothing was run']);
    });
    const { passes, says, why } = judge(ran);
    const { layout } = terminal;
    terminal.out([
      ...sentence(`Exercise: ${lesson.exercise.task}`, terminal),
      '',
      ...traceCharts(ran.trace, layout),
      '',
      ...(ran.scored.events.length > 0 ? [...eventTable(ran.scored, { columns: layout.columns, colour: layout.colour }), ''] : []),
      ...sentence(`${passes ? 'Passed' : 'Not yet'}. ${says}`, terminal),
      ...stepLines(why, layout),
      ...sentence(cautionLine(), terminal),
    ]);
    return passes ? EXIT.ok : EXIT.missed;
  } catch (error) {
    if (error instanceof AnswerError) throw new BadInput([...error.lines, 'nothing was run']);
    throw error;
  }
}
