/** `tickover lesson` as a user runs it: piped, at a terminal, with an answer, and interrupted. */
import { existsSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { PassThrough } from 'node:stream';
import { beforeAll, describe, expect, test } from 'vitest';
import { ask, INTERRUPTED } from '../../src/cli/ask.js';
import { LESSONS } from '../../src/lessons/index.js';
import { build, BUILD_MS, expectWithin, refused, scratch, shell, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { path: folder, put } = scratch();
const CAUTION = 'Simulated, not measured. Outdoors or extracted, wheels chocked, brake on.';
const joined = (text: string): string => text.replace(/\n +/g, ' ');
const lastLine = (text: string): string => text.trimEnd().split('\n').at(-1)!;

test.each([60, 80, 120])('lists every lesson with what it is about, within %i columns', async (columns) => {
  const said = await tickover(['lesson'], { columns });
  expect([said.code, said.err]).toEqual([0, '']);
  expectWithin(said.out, columns);
  for (const { name, about } of LESSONS) expect(joined(said.out)).toMatch(new RegExp(`(^|\\n)${name} +${about}`));
  if (columns >= 80) expect(lastLine(said.out)).toBe(CAUTION);
});

test.each([80, 120])('runs in a pipe without asking: question, charts, what came, steps, numbers, exercise, within %i columns', async (columns) => {
  const said = await tickover(['lesson', 'free-rev'], { columns, env: { NO_COLOR: '1' } });
  expect([said.code, said.err]).toEqual([0, '']);
  expectWithin(said.out, columns);
  const order = ['What happens?', 'b  It stalls on the way down', 'Nothing predicted. What came: b', 'Closes at once: the loop closes', 'Exercise: ', '--answer settings.yaml', CAUTION];
  const places = order.map((part) => joined(said.out).indexOf(part));
  expect(places).not.toContain(-1);
  expect(places).toEqual([...places].sort((a, b) => a - b));
  expect(said.out).not.toContain('Your prediction');
});

test('says whether a prediction came true', async () => {
  const [right, wrong] = await Promise.all([tickover(['lesson', 'integral', '--predict', 'B']), tickover(['lesson', 'integral', '--predict', 'a'])]);
  expect(joined(right.out)).toContain('Predicted, and so it came: b,');
  expect(joined(wrong.out)).toContain('Predicted a; what came: b,');
  expect([right.code, wrong.code]).toEqual([0, 0]);
});

describe('an answer', () => {
  test('that passes says so, with its trace, and exits 0', async () => {
    const said = await tickover(['lesson', 'mixture', '--answer', put('right.yaml', 'loads: [{air: 6.2 %}]')], { columns: 80 });
    expect([said.code, said.err]).toEqual([0, '']);
    expect(said.out).toMatch(/^Passed\. Holds: deepest sag 1\d\d rpm/m);
    expectWithin(said.out, 80);
    expect(lastLine(said.out)).toBe(CAUTION);
  });

  test('that fails is told by how much, and where on the trace, and exits 1', async () => {
    const said = await tickover(['lesson', 'mixture', '--answer', put('wrong.yaml', 'loads: [{air: 2 %}]')], { columns: 80 });
    expect([said.code, said.err]).toEqual([1, '']);
    expect(joined(said.out)).toMatch(/Not yet\. Misses 2 limits: sag \d+ rpm .* allowed up to 150/);
    expect(joined(said.out)).toMatch(/2\.30 s +0\.3 s after load the air had gone from 22\.0 % to 24\.0 %, and the crank was \d\.\d N·m short\./);
    expectWithin(said.out, 80);
  });

  test('that stalls is told what stood ready as the speed fell through target', async () => {
    const said = await tickover(['lesson', 'free-rev', '--answer', put('stalls.yaml', 'entry: {window: 5000 rpm}')]);
    expect(said.code).toBe(1);
    expect(joined(said.out)).toMatch(/The loop closed 2\d\d\d rpm above target, and took air away from there on\./);
    expect(joined(said.out)).toMatch(/As the speed last fell through target the air stood at \d+\.\d %/);
  });

  test.each([
    ['another drill', 'mixture', 'drill: {events: []}', /1:9 +drill\.events: this exercise is about controller\.loads\.0\.air/],
    ['another limit', 'mixture', 'limits: {sag: 900}', /1:10 +limits\.sag: this exercise is about/],
    ['another engine', 'free-rev', 'entry: {window: 200}\nengine: {inertia: 1}', /2:10 +engine\.inertia: this exercise is about controller\.entry/],
    ['a file taken in', 'free-rev', 'entry: {from: mine.yaml}', /1:9 +controller\.entry\.from: unknown key/],
    ['a whole scenario', 'free-rev', 'title: mine\ncontroller: {entry: {window: 200}}', /1:8|1:1 +title: this exercise is about/],
    ['another gain', 'wind-up', 'pid: {antiWindup: conditional}', /1:7 +controller\.pid\.antiWindup: this exercise is about controller\.pid\.trackingTime/],
    ['a number out of range', 'wind-up', 'pid: {trackingTime: -1 s}', /1:7 +controller\.pid\.trackingTime: -1 s/],
    ['no settings', 'wind-up', '# nothing yet', /settings are wanted/],
  ])('that wins by %s is refused, with its place', async (_, lesson, text, why) => {
    const { err } = await refused(['lesson', lesson, '--answer', put('trick.yaml', text)], why);
    expect(err).toContain('nothing was run');
  });

  test('in a file that is not there is refused', () => refused(['lesson', 'mixture', '--answer', join(folder, 'none.yaml')], /none\.yaml: cannot be read: it is not there/));
});

describe('is refused:', () => {
  test.each([
    ['a name that is none, with the nearest', ['lesson', 'wind-pu'], /no lesson is called wind-pu; did you mean wind-up\?\nlessons: mixture, free-rev/],
    ['a letter that is none', ['lesson', 'mixture', '--predict', 'd'], /--predict: d is none of a, b, c/],
    ['an option without a lesson', ['lesson', '--page', 'x.html'], /--page: the name of a lesson is wanted/],
    ['a prediction beside an answer', ['lesson', 'mixture', '--answer', 'x', '--predict', 'a'], /leave out --predict/],
    ['a prediction beside a page', ['lesson', 'mixture', '--page', 'x.html', '--predict', 'a'], /the page asks for it itself/],
    ['a page of another name', ['lesson', 'mixture', '--page', 'x.txt'], /a name that ends in \.html is wanted/],
  ])('%s', async (_, args, why) => {
    await refused(args, why);
  });
});

test('a page is one small file that holds all the text, and - is standard output', async () => {
  const out = join(folder, 'lesson.html');
  const said = await tickover(['lesson', 'mixture', '--page', out], { columns: 80 });
  expect([said.code, said.err]).toEqual([0, '']);
  expectWithin(said.out, 80);
  const text = readFileSync(out, 'utf8');
  expect(statSync(out).size).toBeLessThan(500_000);
  for (const part of ['met with fuel', 'It stays far below target', 'the best mixture (lambda 0.88)', 'tickover lesson mixture --answer settings.yaml']) expect(text).toContain(part);
  const piped = await tickover(['lesson', 'mixture', '--page', '-']);
  expect(piped.out).toBe(text);
});

describe('at a terminal', () => {
  const asked = async (typed: string): Promise<{ answer: unknown; said: string }> => {
    const [input, output] = [new PassThrough(), new PassThrough()];
    const said: Buffer[] = [];
    output.on('data', (data: Buffer) => said.push(data));
    const answer = ask(input, output);
    input.write(typed);
    return { answer: await answer, said: Buffer.concat(said).toString() };
  };

  test.each([
    ['a letter, large or small', 'B\r', 'b', 1],
    ['nothing', '\r', null, 1],
    ['what is no letter of it, and then one', 'd\rhello\rc\r', 'c', 3],
    ['the end of the input', '\u0004', null, 1],
    ['an interrupt', '\u0003', INTERRUPTED, 1],
  ])('the question takes %s', async (_, typed, wanted, times) => {
    const { answer, said } = await asked(typed);
    expect(answer).toBe(wanted);
    expect(said.match(/Your prediction \(a, b or c; Enter goes on without\): /g)!.length).toBeGreaterThanOrEqual(times);
  });

  const script = process.platform === 'linux' && existsSync('/usr/bin/script') ? test : test.skip;
  script('it asks before anything is run, and an interrupt ends it plainly with 130', async () => {
    const typed = (keys: string): Promise<{ code: number | null; out: string }> => shell(`(sleep 2; printf '${keys}'; sleep 1) | script -qec "$TICKOVER lesson lead" /dev/null`, { env: { TERM: 'dumb' } });
    const interrupted = await typed('\\003');
    expect(interrupted.code).toBe(130);
    expect(interrupted.out).toMatch(/Your prediction[^\n]*\r?\n.*interrupted: nothing was run\r?\n$/s);
    expect(interrupted.out).not.toMatch(/What came|at .*\.js/);
    const answered = await typed('c\\n');
    expect(answered.code).toBe(0);
    expect(answered.out.replace(/\r?\n +/g, ' ')).toContain('Predicted, and so it came: c,');
  });
});
