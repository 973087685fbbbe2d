/** Every lesson says what its runs bear out, and its exercise can be failed and passed. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { mixture as mixtureOf } from '../../src/setup/mixture.js';
import { AnswerError, judge, LESSONS, readAnswer, rightChoice, runLesson, runSide } from '../../src/lessons/index.js';

const FOLDER = fileURLToPath(new URL('../../scenarios/lessons/', import.meta.url));
const read = (path: string): string => readFileSync(path, 'utf8');
const lessonOf = (name: string) => LESSONS.find((lesson) => lesson.name === name)!;

/** The answer that each lesson's runs bear out, and settings that pass its exercise. */
const EXPECTED: Readonly<Record<string, readonly [letter: string, passes: string]>> = {
  mixture: ['b', 'loads: [{air: 6.2 %}]'],
  'free-rev': ['b', 'entry: {window: 200 rpm}'],
  overrun: ['a', 'controller:\n  entry: {window: 150 rpm, forcedAfter: 20 s}'],
  lead: ['c', 'controller: {loads: [{lead: 0.4 s}]}'],
  integral: ['b', 'pid: {ki: 0.03}'],
  'wind-up': ['b', 'pid: {trackingTime: 0.5 s}'],
  derivative: ['b', 'pid: {kd: 0.005}'],
  spark: ['b', 'spark: {rate: 0.1 deg/rpm, authority: 10 deg}'],
  'fuel-cut': ['a', 'pid: {kd: 0.01}'],
  stepper: ['c', 'pid: {kp: 0.04}'],
  'cold-oil': ['b', 'base: [[-20, 70], [80, 22]]'],
  altitude: ['b', 'pid: {kp: 0.03, kd: 0.008}'],
  'spark-inertia': ['a', 'spark: {rate: 0.3}'],
};

test('each lesson is expected here', () => {
  expect(LESSONS.map(({ name }) => name).sort()).toEqual(Object.keys(EXPECTED).sort());
});

test('docs/lessons.md lists them in their order, with what each exercise may set', () => {
  const page = read(fileURLToPath(new URL('../../docs/lessons.md', import.meta.url)));
  const rows = LESSONS.map(({ name, about, exercise }) => `| \`${name}\` | ${about} | ${exercise.mayChange.map((key) => `\`${key}\``).join(', ')} |`);
  expect(page).toContain(`| --- | --- | --- |\n${rows.join('\n')}\n\n`);
});

describe.each(LESSONS.map((lesson) => [lesson.name, lesson] as const))('the lesson %s', (name, lesson) => {
  test('is decided by its runs, and each step holds on the traces', async () => {
    const runs = await runLesson(lesson, FOLDER, read);
    expect(rightChoice(lesson, runs).letter).toBe(EXPECTED[name]![0]);
    const steps = lesson.tell(runs);
    expect(steps.filter(({ holds }) => !holds).map(({ says }) => says)).toEqual([]);
    expect(steps.map(({ says }) => says).join(' ')).not.toMatch(/NaN|undefined|null|Infinity/);
  });

  test('its steps do not hold with the runs the wrong way round', async () => {
    const { wrong, right } = await runLesson(lesson, FOLDER, read);
    let held = true;
    try {
      held = lesson.tell({ wrong: right, right: wrong }).every(({ holds }) => holds);
    } catch {
      held = false;
    }
    expect(held).toBe(false);
  });

  test('its exercise fails as it starts, and passes with the answer', async () => {
    expect(judge(await runSide(lesson.exercise.start, FOLDER, read)).passes).toBe(false);
    const settings = readAnswer(EXPECTED[name]![1], 'settings.yaml', lesson).map(({ key, text }) => `${key}=${text}`);
    const { passes, says } = judge(await runSide(lesson.exercise.start, FOLDER, read, settings));
    expect(passes, says).toBe(true);
  });
});

test('more derivative than the valve can bear is no answer, and is told what the air does', async () => {
  const { exercise } = lessonOf('derivative');
  const { passes, says, why } = judge(await runSide(exercise.start, FOLDER, read, ['controller.pid.kd=0.03']));
  expect(passes).toBe(false);
  expect(says).toMatch(/^Misses a limit: valve travel/);
  expect(why[0]!.says).toMatch(/the air goes up and down between \d+\.\d % and \d+\.\d %/);
});

describe('an answer', () => {
  const refused = (text: string, name = 'free-rev'): string => {
    try {
      readAnswer(text, 's.yaml', lessonOf(name));
    } catch (error) {
      if (error instanceof AnswerError) return error.lines.join('\n');
      throw error;
    }
    return 'taken';
  };

  test('may set only what the exercise is about, and is told where', () => {
    expect(refused('entry: {window: 150 rpm}\nengine: {inertia: 3}')).toMatch(/^s\.yaml:2:10 {2}engine\.inertia: this exercise is about controller\.entry/);
    expect(refused('limits: {sag: 900}')).toContain('this exercise is about');
  });

  test('must be settings', () => {
    expect(refused('')).toContain('settings are wanted');
    expect(refused('- 1')).toContain('settings are wanted');
    expect(refused('entry: {}')).toContain('no setting in it');
    expect(refused('entry: {window: 1')).toMatch(/^s\.yaml:1:\d+/);
  });
});

describe('why an answer fails', () => {
  const whyOf = async (name: string, ...set: string[]) => {
    const { exercise } = lessonOf(name);
    const ran = await runSide(exercise.start, FOLDER, read, set);
    return { ran, why: judge(ran).why };
  };

  test('is empty where it passes', async () => {
    expect((await whyOf('mixture', 'controller.loads.0.air=6.2')).why).toEqual([]);
  });

  test('is read off the trace: the numbers of a sag are those of its row', async () => {
    const { ran: { trace }, why } = await whyOf('mixture', 'controller.loads.0.air=3');
    const { atS, says } = why[0]!;
    const row = Math.round(atS / trace.recordS);
    expect(Math.abs(trace.columns.timeS[row]! - atS)).toBeLessThan(trace.recordS / 2);
    expect(says).toContain(`to ${trace.columns.air[row]!.toFixed(1)} %`);
    const { indicatedNm, pumpingNm, frictionNm, loadNm, clutchNm } = trace.columns;
    const spare = indicatedNm[row]! - pumpingNm[row]! - frictionNm[row]! - loadNm[row]! - clutchNm[row]!;
    expect(says).toContain(`${(-spare).toFixed(1)} N·m short`);
  });

  test('comes in the order of the trace, whatever the order of the limits', async () => {
    const { why } = await whyOf('spark-inertia', 'controller.spark.rate=1');
    expect(why.length).toBeGreaterThan(1);
    expect(why.map(({ atS }) => atS)).toEqual(why.map(({ atS }) => atS).sort((a, b) => a - b));
    expect(why.map(({ says }) => says).join(' ')).toMatch(/the speed swings by \d+ rpm/);
  });

  test('of a stepper is told in steps', async () => {
    expect((await whyOf('stepper')).why[0]!.says).toMatch(/from 33 steps to 3\d steps/);
  });
});

test('the lesson on fuel and air leans on the curve of tickover mixture', async () => {
  const lesson = lessonOf('mixture');
  const runs = await runLesson(lesson, FOLDER, read);
  const { mixture, airAddsNm } = mixtureOf([runs.wrong.scenario]);
  const said = lesson.tell(runs).map(({ says }) => says).join(' ');
  expect(said).toContain(`adds ${mixture.addsNm.toFixed(2)} N·m`);
  expect(said).toContain(`${airAddsNm.toFixed(0)} N·m`);
});
