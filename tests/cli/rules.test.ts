/** `tickover rules`. */
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectWithin, refused, scratch, SHORT, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { put } = scratch();
const short = put('short.yaml', SHORT);

test.each([80, 120])('prints fits, both ultimate points, every rule with margins and drills, within %i columns', async (columns) => {
  const { code, out, err } = await tickover(['rules', short], { columns });
  expect([code, err]).toEqual([0, '']);
  for (const wanted of [/^one lag .* s /m, /^integrator/m, /^linear loop/m, /^relay, simulated/m, /^this file/m, /^SIMC PI /m, /^AMIGO PID/m, /^Ziegler–Nichols PID/m, /^Tyreus–Luyben PI /m, /Best score of the rules on 1 drill/]) {
    expect(out).toMatch(wanted);
  }
  expect(out.trimEnd().split('\n').at(-1)).toMatch(/^Simulated, not measured/);
  expectWithin(out, columns);
});

test('gives gains in the reader’s numbers, and everything as one object', async () => {
  const { out } = await tickover(['rules', short, '--gain-scale', 'kp=100,ki=10,kd=1'], { columns: 120 });
  expect(out).toMatch(/your/);
  const { out: json } = await tickover(['rules', short, '--json']);
  const { rules, process, airUnit } = JSON.parse(json) as {
    airUnit: string; rules: { name: string; gains: { kp: number } | null; outcome: { score: number } | null; margins: { worstMs: number } | null }[]; process: { ultimate: { point: { gain: number } } };
  };
  expect(airUnit).toBe('%');
  expect(rules).toHaveLength(12);
  const zn = rules.find(({ name }) => name === 'Ziegler–Nichols PI')!;
  expect(zn.gains!.kp).toBeCloseTo(0.45 * process.ultimate.point.gain, 3);
  expect(zn.outcome!.score).toBeGreaterThan(0);
});

describe('a plant that does not hold itself', () => {
  test('has no fit, no ultimate point and no rule, and the page says why', async () => {
    const unstable = put('unstable.yaml', `${SHORT}engine: {inertia: 0.05}\ncontroller: {target: [[80, 400]]}\n`);
    const { code, out } = await tickover(['rules', unstable]);
    expect(code).toBe(0);
    const text = out.replace(/\s+/g, ' ');
    expect(text).toContain('None of the rules applies: the engine alone is unstable: left to itself it swings, and the swing grows.');
    expect(out).toMatch(/^one lag +–/m);
    expect(out).not.toMatch(/^SIMC PI /m);
    await refused(['tune', unstable, '--uncertainty', 'none', '--budget', '300'], /none of \d+ sets of gains makes\s+the\s+loop\s+stable\s+as\s+described\.\s+The\s+engine\s+alone\s+is\s+unstable/);
  });

  test('is told too where the spark trim makes it hunt', async () => {
    const { out } = await tickover(['rules', short, '--set', 'controller.spark.rate=3']);
    expect(out.replace(/\s+/g, ' ')).toContain('None of the rules applies: the spark trim makes the engine hunt, whatever the air does: its rate is too large.');
  });
});

describe('bad input', () => {
  test.each([
    [['rules', 'nowhere.yaml'], /nowhere\.yaml/],
    [['rules', short, '--set', 'controller.hold=22'], /controller\.hold: the air command is held/],
    [['rules', short, '--gain-scale', 'kp=no'], /--gain-scale/],
    [['rules', short, '--set', 'controller.clamp.highest=10'], /no idle/],
    [['rules', short, '--set', 'valve.size.flow=1 g/s'], /needs more air than the valve gives wide open/],
  ])('%j', async (args, message) => {
    await refused(args, message);
  });
});
