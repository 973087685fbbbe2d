/** What a lesson's page works out apart from drawing. */
import { describe, expect, test } from 'vitest';
import { LESSONS, type Ran, runLesson, runSide } from '../../src/lessons/index.js';
import { changedElsewhere, fuelForAir, rowAt, span, spareTorque } from '../../src/page/lesson.js';
import { withSetting } from '../../src/page/settings.js';
import { first, read, root } from './scenarios.js';

const FOLDER = `${root}scenarios/lessons/`;

describe('what it works out', () => {
  test('a changed setting that the exercise is not about is named, and one that it is about is not', async () => {
    const start = await first('lessons/load.yaml');
    expect(changedElsewhere(start, start, ['controller.pid'])).toEqual([]);
    const turned = withSetting(withSetting(start, 'controller.pid.kp', 0.5), 'engine.inertia', 0.3);
    expect(changedElsewhere(start, turned, ['controller.pid'])).toEqual(['engine.inertia']);
    expect(changedElsewhere(start, turned, ['controller.pid.k', 'engine'])).toEqual(['controller.pid.kp']);
  });

  test('torque to spare is what turns the crank faster', async () => {
    const { trace } = await runSide(LESSONS[0]!.wrong, FOLDER, read);
    const spare = spareTorque(trace.columns);
    const k = Math.round(2.2 / trace.recordS);
    const { inertia } = (await first('lessons/mixture.yaml')).engine;
    const rate = ((trace.columns.speedRpm[k + 1]! - trace.columns.speedRpm[k - 1]!) * Math.PI) / 30 / (2 * trace.recordS);
    expect(spare[k]! / (inertia * rate)).toBeCloseTo(1, 1);
  });

  test('fuel for the air differs with the mixture, and with nothing else that a run does', async () => {
    const share = ({ trace: { columns, rows } }: Ran): number => fuelForAir(Object.fromEntries(Object.entries(columns).map(([name, column]) => [name, column.slice(0, rows)])));
    const both = (name: string) => runLesson(LESSONS.find((each) => each.name === name)!, FOLDER, read);
    const [fuel, revved] = [await both('mixture'), await both('free-rev')];
    expect(share(fuel.wrong) / share(fuel.right)).toBeGreaterThan(1.04);
    expect(share(revved.wrong) / share(revved.right)).toBeCloseTo(1, 1);
  });

  test('a row is found at its time, after it, and at the end', () => {
    const times = [0, 0.1, 0.2, 0.3];
    expect([-1, 0, 0.1, 0.11, 9].map((at) => rowAt(times, at))).toEqual([0, 0, 1, 2, 3]);
    expect([span([3, null, 5]), span([]), span(undefined)]).toEqual([2, 0, 0]);
  });
});
