/** `tickover mixture` as a user runs it. */
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectWithin, refused, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const solenoid = 'scenarios/solenoid.yaml';

test.each([80, 120])('draws both curves, each load, and what is published, within %i columns', async (columns) => {
  const said = await tickover(['mixture', 'scenarios/job.yaml'], { columns });
  expect([said.code, said.err]).toEqual([0, '']);
  expectWithin(said.out, columns);
  for (const part of ['λ 0.70 … 1.20', 'by air', 'this engine', 'published', 'air-conditioner', 'Mixture adds 0.73 N·m at most, at λ 0.88', '2.49 N·m at most']) {
    expect(said.out.replace(/\n +/g, ' ')).toContain(part);
  }
  expect(said.out.trimEnd().split('\n').at(-1)).toBe('Simulated, not measured. Outdoors or extracted, wheels chocked, brake on.');
});

test('a range that is asked for is the range that is told; its end is the answer where the highest point lies beyond', async () => {
  const said = await tickover(['mixture', solenoid, '--lambda', '0.95:1.1', '--json']);
  expect([said.code, said.err]).toEqual([0, '']);
  const object = JSON.parse(said.out) as { lambdaRange: number[]; byMixture: { x: number[]; changeNm: number[] }; mixture: { addsNm: number; at: number } };
  expect(object.lambdaRange).toEqual([0.95, 1.1]);
  expect([object.byMixture.x[0], object.byMixture.x.at(-1)]).toEqual([0.95, 1.1]);
  expect(object.mixture.at).toBeCloseTo(0.95, 6);
  expect(object.mixture.addsNm).toBeCloseTo(object.byMixture.changeNm[0]!, 6);
});

test('a valve that cannot hold the idle is flagged, and the curve by mixture still stands', async () => {
  const said = await tickover(['mixture', solenoid, '--set', 'valve.size.flow=1.2', '--json']);
  expect(said.code).toBe(0);
  const object = JSON.parse(said.out) as { flag: string; worthOfAir: number | null; mixture: { addsNm: number } };
  expect(object.flag).toMatch(/^the valve cannot hold 800 rpm hot: it would have to stand at \d+ % of its range$/);
  expect(object.worthOfAir).toBeNull();
  expect(object.mixture.addsNm).toBeCloseTo(0.633, 2);
  expect((await tickover(['mixture', solenoid, '--set', 'valve.size.flow=1.2'])).out).toContain('FLAGGED: the valve cannot hold');
});

describe('is refused:', () => {
  test.each([
    ['0.7', /--lambda +0\.7: write the lowest and the highest lambda, such as 0\.7:1\.2/],
    ['0.7:1.2:3', /write the lowest and the highest/],
    ['rich:lean', /write the lowest and the highest/],
    ['1.1:0.9', /--lambda +1\.1:0\.9: the first must lie below the second/],
    ['0.3:1.2', /--lambda +0\.3:1\.2 is outside 0\.6 … 1\.4/],
    ['1.1:1.2', /1 must lie within/],
  ])('--lambda %s', async (text, why) => {
    await refused(['mixture', solenoid, '--lambda', text], why);
  });
  test('a range beyond the air to fuel that the regression takes', () => refused(['mixture', 'scenarios/regression.yaml', '--lambda', '0.6:1.2'], /0\.6:1\.2 is outside 0\.69 … 1\.36/));
  test('a file that is not there', () => refused(['mixture', 'nowhere.yaml'], /nowhere\.yaml/));
});
