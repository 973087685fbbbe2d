/** Every lesson says what its runs bear out, and its exercise can be failed and passed. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { AnswerError, judge, LESSONS, readAnswer, rightChoice, runLesson, runSide } from '../../src/lessons/index.js';

const FOLDER = fileURLToPath(new URL('../../scenarios/lessons/', import.meta.url));
const read = (path: string): string => readFileSync(path, 'utf8');
const lessonOf = (name: string) => LESSONS.find((lesson) => lesson.name === name)!;

/** The answer that each lesson's runs bear out, and settings that pass its exercise. */
const EXPECTED: Readonly<Record<string, readonly [letter: string, passes: string]>> = {
  'free-rev': ['b', 'entry: {window: 200 rpm}'],
  overrun: ['a', 'controller:\n  entry: {window: 150 rpm, forcedAfter: 20 s}'],
  lead: ['c', 'controller: {loads: [{lead: 0.4 s}]}'],
  integral: ['b', 'pid: {ki: 0.03}'],
  derivative: ['b', 'pid: {kd: 0.01}'],
  spark: ['b', 'spark: {rate: 0.1 deg/rpm, authority: 10 deg}'],
  'fuel-cut': ['a', 'pid: {kd: 0.01}'],
  stepper: ['c', 'pid: {kp: 0.04}'],
  altitude: ['b', 'pid: {kp: 0.03, kd: 0.008}'],
  'spark-inertia': ['a', 'spark: {rate: 0.3}'],
};

test('each lesson is expected here', () => {
  expect(LESSONS.map(({ name }) => name).sort()).toEqual(Object.keys(EXPECTED).sort());
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
