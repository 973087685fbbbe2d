/** Air of a load that the controller knows. Common practice, no source: too small sags when the load comes, too large when it leaves. */
import { describe, expect, test } from 'vitest';
import { between, run, shipped, suite } from './shipped.js';

const mean = (values: Float64Array): number => values.reduce((sum, value) => sum + value, 0) / values.length;

/** Files whose drill puts a load on at 2 s and off at 9 s; a stepper's dead band leaves it off its target by a little. */
const FILES = ['three.yaml', 'solenoid.yaml', 'stepper.yaml', 'six.yaml', 'eight.yaml'];
const SMALL = 0.25;
const LARGE = 2;

describe.each(FILES)('the load of %s', (file) => {
  const tried = async () => {
    const scenario = await shipped(file, ['controller.loads=[{name: load}]']);
    const withAir = (air: number) => {
      const { trace, scored } = run(scenario, { 'controller.loads.0.air': air });
      const [on, off] = scored.events;
      return { trace, on: on!, off: off! };
    };
    // what the loop itself adds for it, once settled
    const { trace } = withAir(0);
    const right = mean(between(trace, 'air', 8, 9)) - mean(between(trace, 'air', 1, 2));
    return { right, none: withAir(0), small: withAir(SMALL * right), fits: withAir(right), large: withAir(LARGE * right) };
  };

  test('sags deeper as it comes when its air is too small, and as it leaves when it is too large', async () => {
    const { right, none, small, fits, large } = await tried();
    expect(right).toBeGreaterThan(1);
    const comes = [none, small, fits, large].map(({ on }) => on.sagRpm!);
    const leaves = [none, small, fits, large].map(({ off }) => off.sagRpm!);
    for (let i = 1; i < comes.length; i++) expect([i, comes[i]! < comes[i - 1]!]).toEqual([i, true]);
    expect(small.on.sagRpm!).toBeGreaterThan(small.off.sagRpm!);
    expect(large.off.sagRpm!).toBeGreaterThan(large.on.sagRpm!);
    expect(leaves[3]!).toBeGreaterThan(leaves[2]!);
    expect(leaves[2]!).toBeGreaterThanOrEqual(leaves[1]!);
  });

  test('flares as it leaves when its air is too small, and as it comes when it is too large', async () => {
    const { small, fits, large } = await tried();
    expect(small.off.flareRpm!).toBeGreaterThan(fits.off.flareRpm!);
    expect(large.on.flareRpm!).toBeGreaterThan(fits.on.flareRpm!);
  });
});

test('the study of load air says so: less air sags as the load comes, more as it leaves', async () => {
  const scenario = await shipped('studies/load-air.yaml');
  const sags = (air: number): readonly number[] => run(scenario, { 'controller.loads.0.air': air }).scored.events.map(({ sagRpm }) => sagRpm!);
  const [small, right, large] = [sags(2.8), sags(5.6), sags(11.2)];
  expect(small[0]!).toBeGreaterThan(2 * right[0]!);
  expect(large[1]!).toBeGreaterThan(2 * right[1]!);
  expect(large[0]!).toBeLessThan(1);
  expect(small[1]!).toBeLessThan(right[1]!);
});

test('the study of load lead says so: no lead sags, a long one flares, and both are least in between', async () => {
  const scenario = await shipped('studies/load-lead.yaml');
  const of = (lead: number) => run(scenario, { 'controller.loads.0.lead': lead }).scored.events[0]!;
  const both = (lead: number): number => of(lead).sagRpm! + of(lead).flareRpm!;
  expect(of(0).sagRpm!).toBeGreaterThan(1.5 * of(0.3).sagRpm!);
  expect(of(0.85).flareRpm!).toBeGreaterThan(1.5 * of(0.3).flareRpm!);
  expect(both(0.3)).toBeLessThan(Math.min(both(0), both(0.85)));
});

describe('the days of the job', () => {
  const day = async (name: string) => run((await suite('job.yaml')).find(({ drill }) => drill.name === name)!).scored.events;

  test('a hot day sags as the compressor comes, a cool one as it leaves', async () => {
    const [hot, usual, cool] = await Promise.all(['air-conditioner, hot day', 'air-conditioner on and off', 'air-conditioner, cool day'].map(day));
    expect(hot![0]!.sagRpm!).toBeGreaterThan(1.5 * usual![0]!.sagRpm!);
    expect(cool![1]!.sagRpm!).toBeGreaterThan(1.3 * usual![1]!.sagRpm!);
    expect(cool![0]!.sagRpm!).toBeLessThan(usual![0]!.sagRpm!);
  });

  test('the wired compressor, which has no lead, sags deeper than the commanded one', async () => {
    expect((await day('air-conditioner without lead'))[0]!.sagRpm!).toBeGreaterThan(1.3 * (await day('air-conditioner on and off'))[0]!.sagRpm!);
  });
});
