/** What docs/model.md says of fuel in place of air, recomputed on every shipped engine. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { loadScenarioOrThrow, type Scenario } from '../../src/scenario/index.js';
import { mixture } from '../../src/setup/mixture.js';

const root = fileURLToPath(new URL('../../', import.meta.url));
const page = readFileSync(`${root}docs/model.md`, 'utf8');

/** The published engine at its published operating point, with its published load. */
const FIVE = `
engine: {from: scenarios/engines/published-2.48-five.yaml}
valve: {from: scenarios/valves/published-2.48-five.yaml}
controller: {target: [[80, 1027.68]], base: [[80, 2]], spark: {base: [[80, -25]]}}
drill: {events: [{do: load, at: 1 s, name: electrical, power: 1428.571 W}]}
`;
/** The 1.8 L four with everything on it, and its loads of different sizes. */
const FITTED = `
engine: {from: scenarios/engines/four-1.8-fitted.yaml}
valve: {from: scenarios/valves/solenoid.yaml}
controller: {from: scenarios/controllers/solenoid.yaml}
drills:
  - {events: [{do: machine, at: 1 s, name: air-conditioner}]}
  - {events: [{do: machine, at: 1 s, name: steering}]}
  - {events: [{do: machine, at: 1 s, name: drive}]}
  - {from: scenarios/drills/headlights.yaml}
  - {from: scenarios/drills/fan.yaml}
`;
const SIZES = ['air-conditioner', 'steering', 'drive', 'headlights', 'blower', 'fan'];
const TEXTS: Readonly<Record<string, string>> = { 'five.yaml': FIVE, 'fitted.yaml': FITTED };
const load = (file: string): Promise<readonly Scenario[]> =>
  loadScenarioOrThrow(`${root}${file}`, { read: (path) => TEXTS[path.slice(root.length)] ?? readFileSync(path, 'utf8') });

const say = (value: number, digits: number): string => value.toFixed(digits).replace('-', '−');
function row(name: string): readonly string[] {
  const found = page.split('\n').filter((line) => line.startsWith(`| ${name} |`));
  if (found.length !== 1) throw new Error(`docs/model.md: ${found.length} rows are named "${name}"`);
  return found[0]!.split('|').slice(2, -1).map((cell) => cell.trim());
}

const ENGINES = [
  ['1.0 L three', 'scenarios/three.yaml'],
  ['1.8 L four, solenoid', 'scenarios/solenoid.yaml'],
  ['1.8 L four, stepper', 'scenarios/stepper.yaml'],
  ['3.5 L six', 'scenarios/six.yaml'],
  ['5.7 L eight', 'scenarios/eight.yaml'],
  ['published 2.48 L five', 'five.yaml'],
  ['published regression', 'scenarios/regression.yaml'],
] as const;

describe('fuel in place of air', () => {
  test.for(ENGINES)('%s: the page prints what the code gives', async ([name, file]) => {
    const { idle, mixture: most, airAddsNm, airTakesNm, loads } = mixture(await load(file));
    const heaviest = Math.max(...loads.map(({ torqueNm }) => torqueNm));
    expect(row(name)).toEqual([
      say(idle.rpm, 0), idle.indicatedNm === null ? '–' : say(idle.indicatedNm, 1), say(most.addsNm, 2), say(most.at, 2),
      say(heaviest, 1), `${say((100 * most.addsNm) / heaviest, 0)} %`, say(airAddsNm, 1), say(airTakesNm, 1),
    ]);
    // the claim itself: on no engine does fuel carry what its drill switches, on all of them air does
    expect(most.addsNm).toBeGreaterThan(0);
    expect(most.addsNm).toBeLessThan(heaviest / 2);
    expect(airAddsNm).toBeGreaterThan(heaviest);
  });

  test('the loads of the fitted 1.8 L four', async () => {
    const { loads, mixture: most } = mixture(await load('fitted.yaml'));
    const said = loads.filter(({ name }) => SIZES.includes(name)).map(({ name, torqueNm }) => `${name} ${say(torqueNm, 1)}`).join(', ');
    const sentence = page.slice(page.indexOf('On the fitted 1.8 L four')).replaceAll('\n', ' ');
    expect(sentence.slice(0, sentence.indexOf('.  '))).toBe(`On the fitted 1.8 L four mixture adds ${say(most.addsNm, 2)} N·m; its loads take, N·m: ${said}`);
  });
});

test('the published regression adds most at the A/F of its own polynomial, 21.91/(2·0.85) = 12.888 (Crossley and Cook 1991)', async () => {
  const { published, publishedMost, mixture: most } = mixture(await load('scenarios/regression.yaml'));
  expect(publishedMost.at * 14.6).toBeCloseTo(12.888235, 4);
  expect(publishedMost.addsNm).toBeCloseTo(0.85 * (14.6 - 12.888235) ** 2, 4);
  // through the plant it is the same: the command and the polynomial agree
  expect(most.addsNm).toBeCloseTo(publishedMost.addsNm, 9);
  expect(most.at).toBeCloseTo(publishedMost.at, 5);
  expect(published.changeNm[30]).toBeCloseTo(0, 12); // λ 1
});

test('our curve peaks where the polynomial for each kilogram of air does, √(1.6082/2.0746) = 0.8804, and rises by 3.06 %', async () => {
  const { mixture: most, idle } = mixture(await load('scenarios/solenoid.yaml'));
  expect(most.at).toBeCloseTo(Math.sqrt(1.6082 / 2.0746), 5);
  const best = Math.sqrt(1.6082 / 2.0746);
  expect(most.addsNm / idle.indicatedNm!).toBeCloseTo((4.6509 - 2 * Math.sqrt(1.6082 * 2.0746)) / 0.9681 - 1, 8);
  expect(best).toBeCloseTo(0.8804, 4);
});

test('what air adds is the steady solve’s own: the valve at its idle changes nothing, and opening it adds without end of sense', async () => {
  const scenarios = await load('scenarios/six.yaml');
  const { byAir, idle, mixture: most } = mixture(scenarios);
  const at = byAir.x.findIndex((x) => x > idle.air);
  expect(byAir.changeNm[at - 1]!).toBeLessThanOrEqual(0);
  expect(byAir.changeNm[at]!).toBeGreaterThan(0);
  for (let i = 1; i <= 50; i++) expect(byAir.changeNm[i]!).toBeGreaterThanOrEqual(byAir.changeNm[i - 1]! - 1e-9);
  expect(most.addsNm).toBeLessThan(byAir.changeNm[50]!);
});

test.each(['scenarios/six.yaml', 'scenarios/regression.yaml'])('%s: what mixture adds at most is worth the air at which the curve by air has that torque', async (file) => {
  const { idle, worthOfAir, byAir, mixture: most } = mixture(await load(file));
  const wanted = idle.air + worthOfAir!;
  const next = byAir.x.findIndex((x) => x >= wanted);
  // straight between the points, the idle one of them
  const [x0, y0] = byAir.x[next - 1]! > idle.air ? [byAir.x[next - 1]!, byAir.changeNm[next - 1]!] : [idle.air, 0];
  const there = y0 + ((wanted - x0) / (byAir.x[next]! - x0)) * (byAir.changeNm[next]! - y0);
  expect(there / most.addsNm).toBeGreaterThan(0.97);
  expect(there / most.addsNm).toBeLessThan(1.03);
});
