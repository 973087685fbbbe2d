/**
 * Does the trade's rule come out of the physics: a stepper needs only the integral, a fast solenoid all three terms? And from
 * which property of the valve: its lag, its limited speed, or its whole steps?
 *
 *     npm run build:library && node tests/bench/valve-study.mjs [jobs] [share of the budget]
 *
 * The two valves differ in three properties, so there are eight valves with each of them or without. Every one gets the best
 * gains of the integral alone, of two terms and of three, without spark trim and with it, by the search of `tickover tune`:
 * least score in the worst of three engines (as described, inertia −20 %, roughness 6 %) over a load that comes and goes and a
 * pulse, with Ms up to 1.6 as described and 2 on the others, and hunting up to 25 rpm. No limit on settling: the score has it.
 * The dead band of the integral is searched on every valve, so that the valve is all that differs. Each search starts from
 * the best of fewer terms as well; so more terms are never dearer than fewer.
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { linearIdleOf } from '../../dist/linear/idle.js';
import { loadScenarioOrThrow, withValues } from '../../dist/scenario/index.js';
import { evaluate } from '../../dist/search/evaluate.js';
import { tuneCorners } from '../../dist/search/tune/corners.js';
import { processSeen } from '../../dist/search/tune/process.js';
import { createReferee } from '../../dist/search/tune/referee.js';
import { ruleRows } from '../../dist/search/tune/rule-rows.js';
import { search } from '../../dist/search/tune/search.js';
import { GAIN_KEYS, variablesOf } from '../../dist/search/tune/space.js';

const jobs = Number(process.argv[2] ?? 1);
const share = Number(process.argv[3] ?? 1);
const LIMITS = { msNominal: 1.6, msCorner: 2, settlingS: null, huntingRpm: 25 };
/** Simulated seconds a search. */
const BUDGET_S = { i: 1500, pi: 2500, pid: 4000 };
/** Largest spark rate searched, °/rpm. */
const SPARK_MOST = 0.3;

/** A first-order lag of 45 ms: an overdamped positioner, whose other pole lies at 1.3 ms. None: a positioner of 2 ms. */
const LAG = { with: 'frequency: 129.5, damping: 3', without: 'frequency: 500, damping: 1' };
const motor = (lag, ratePctPerS, smallestPct) =>
  `{kind: throttle-motor, shape: flow, ${lag}, rate: ${ratePctPerS}, smallest: ${smallestPct}, SIZE}`;
const FREE = 20_000;
/** The stepper's speed and step: 160 of 200 steps a second. */
const [SLEW, STEP] = [80, 0.5];
const solenoid = (lag) => `{kind: solenoid, opening: [[0, 0], [8, 0], [92, 100], [100, 100]], lag: ${lag}, supplySensitivity: 0, SIZE}`;
const stepper = (steps, rate) => `{kind: stepper, steps: ${steps}, rate: ${rate}, SIZE}`;

const VALVES = [
  { name: 'solenoid as it is', has: 'lag', valve: solenoid(0.045) },
  { name: 'solenoid, stepper’s speed', has: 'lag, speed', valve: motor(LAG.with, SLEW, 0) },
  { name: 'solenoid, stepper’s steps', has: 'lag, steps', valve: motor(LAG.with, FREE, STEP) },
  { name: 'solenoid, both', has: 'lag, speed, steps', valve: motor(LAG.with, SLEW, STEP) },
  { name: 'solenoid without lag', has: 'none', valve: solenoid(0) },
  { name: 'stepper, fine steps', has: 'speed', valve: stepper(2000, 1600) },
  { name: 'stepper, no speed limit', has: 'steps', valve: stepper(200, 2000) },
  { name: 'stepper as it is', has: 'speed, steps', valve: stepper(200, 160) },
];
/** One property made worse and worse, the others away. */
const LADDER = [
  { name: 'lag 150 ms', valve: solenoid(0.15) },
  { name: 'lag 400 ms', valve: solenoid(0.4) },
  { name: 'speed 20 %/s', valve: stepper(2000, 400) },
  { name: 'speed 5 %/s', valve: stepper(2000, 100) },
  { name: 'steps of 2 %', valve: stepper(50, 500) },
  { name: 'steps of 5 %', valve: stepper(20, 200) },
];
const ENGINES = [
  { name: '1.8 L four', file: 'four-1.8', flow: 9, targetRpm: 800, loadNm: 8 },
  { name: '5.7 L eight', file: 'eight-5.7', flow: 25, targetRpm: 650, loadNm: 24 },
];

const here = fileURLToPath(new URL('.', import.meta.url));
/** The air of a warm idle, share of the travel, in a valve's own unit: what the base table says. */
const baseOf = (valve) => (valve.includes('solenoid') ? 22 : valve.includes('stepper') ? (Number(/steps: (\d+)/.exec(valve)[1]) / 6).toFixed(0) : 16.7);

async function scenarioOf(engine, valve, duration, drill) {
  const file = `${here}of-valve-study.yaml`;
  const text = `title: ${engine.name}
engine: {from: ../../scenarios/engines/${engine.file}.yaml}
valve: ${valve.replace('SIZE', `size: {by: flow, flow: ${engine.flow} g/s, depression: 60 kPa}`)}
controller:
  period: 20 ms
  target: [[80, ${engine.targetRpm}]]
  base: [[80, ${baseOf(valve)}]]
  pid: {kp: 0, ki: 0, kd: 0}
  spark: {base: [[80, 12]], rate: 0}
run: {duration: ${duration} s}
drill: ${drill}
`;
  const [scenario] = await loadScenarioOrThrow(file, { read: (path) => (path === file ? text : readFileSync(path, 'utf8')) });
  return scenario;
}

/** The load stays long enough for a slow limit cycle of whole steps to be seen. */
const load = ({ loadNm }) => `{name: load, events: [{do: load, at: 1 s, name: load, torque: ${loadNm} N m, rise: 50 ms}, {do: load, at: 11 s, name: load, torque: 0 N m}]}`;
const pulse = ({ loadNm }) => `{name: pulse, events: [{do: load, at: 1 s, name: pulse, torque: ${loadNm} N m, rise: 0.1 s, hold: 1.2 s}]}`;

const KEYS = [GAIN_KEYS.kp, GAIN_KEYS.ki, GAIN_KEYS.kd, GAIN_KEYS.deadBand, GAIN_KEYS.rate];
const CORNERS = new Set(['as described', 'inertia −20 %', 'roughness 6 %']);

/** Gains that the rules and caution suggest, a share of them kept by the terms asked for. */
function startsOf(seen, terms) {
  const { rpmPerAir } = seen;
  const rows = [{ kp: 0.5 / rpmPerAir, ki: 0.7 / rpmPerAir, kd: 0 }, { kp: 0.5 / rpmPerAir, ki: 1.2 / rpmPerAir, kd: 0.1 / rpmPerAir }, ...ruleRows(seen).flatMap(({ gains }) => gains ?? [])];
  return rows.map(({ kp, ki, kd }) => [terms === 'i' ? 0 : kp, ki, terms === 'pid' ? kd : 0, 0, 0]);
}

/** The best of each choice of terms, without trim and with it. */
async function study(engine, { valve }, allTerms) {
  const scenarios = [await scenarioOf(engine, valve, 18, load(engine)), await scenarioOf(engine, valve, 8, pulse(engine))];
  const [idle] = scenarios;
  const minute = await scenarioOf(engine, valve, 70, '{name: a minute, events: []}');
  const seen = processSeen(idle, linearIdleOf(withValues(idle, new Map([[GAIN_KEYS.ki, 0.1 / 30]]))), false);
  const corners = tuneCorners(scenarios, []).filter(({ name }) => CORNERS.has(name));
  const referee = await createReferee({ scenarios, idle, corners, keys: KEYS, limits: LIMITS, jobs });
  const runs = referee.course.scenarios.map((_, run) => run);
  const rows = [];
  try {
    for (const trim of [false, true]) {
      let fewer = [];
      for (const terms of allTerms) {
        const variables = variablesOf(idle, seen, terms, true, trim ? SPARK_MOST : null, []);
        const own = startsOf(seen, terms);
        const without = rows.find((row) => row.terms === terms && !row.trim)?.best;
        const rates = trim ? [0.08, 0.2] : [0];
        const starts = [...fewer, ...rates.flatMap((rate) => [...(without === undefined ? [] : [without.values]), ...own].map((set) => set.with(4, rate)))];
        const { found } = await search({ referee, variables, starts, runs, budgetS: share * BUDGET_S[terms], seed: 1 });
        const best = found[0];
        fewer = found.slice(0, 2).map(({ values }) => values);
        rows.push({ terms, trim, best, idling: best === undefined ? null : evaluate([minute], new Map(KEYS.map((key, i) => [key, best.values[i]]))).huntingRpm });
      }
    }
    return { rows, drills: scenarios.length, spentS: referee.spent().simulatedS, rpmPerAir: seen.rpmPerAir };
  } finally {
    await referee.close();
  }
}

const worst = (best, name) => best.finish.runs.reduce((most, run) => (most === null || run[name] === null ? null : Math.max(most, run[name])), 0);
/** Hunting after the loads; what is too short to tell is left out, and a minute of idle looked at beside it. */
const hunting = (best) => Math.max(0, ...best.finish.runs.map(({ huntingRpm }) => huntingRpm ?? 0));
const fixed = (value, digits) => (value === null ? 'never' : Number.isFinite(value) ? value.toFixed(digits) : '∞');

const line = (name, { terms, trim, best, idling }, unitless) =>
  best === undefined
    ? [name, terms, trim ? 'yes' : 'no', 'nothing keeps the limits']
    : [name, terms, trim ? 'yes' : 'no', fixed(best.finish.score, 3) + (best.holds ? '' : '*'), fixed(worst(best, 'settlingTimeS'), 2), fixed(worst(best, 'sagRpm'), 0),
      fixed(best.msNominal, 2), fixed(best.msWorst, 2), fixed(Math.max(hunting(best), idling ?? 0), 1),
      // gains against the engine's own: kp times the speed that a unit of air is worth is no matter of the valve's unit
      ...[0, 1, 2].map((k) => fixed(best.values[k] * unitless, 2)), fixed(best.values[3], 1), fixed(best.values[4], 3)];

const print = (cells) => console.log(`| ${cells.join(' | ')} |`);
const head = (cells) => {
  print(cells);
  print(cells.map(() => '---'));
};
const COLUMNS = ['valve', 'terms', 'trim', 'score', 'settling s', 'sag rpm', 'Ms', 'Ms worst', 'hunting rpm', 'kp·K', 'ki·K 1/s', 'kd·K s', 'dead band rpm', 'spark °/rpm'];

const summary = [];
for (const engine of ENGINES) {
  console.log(`\n${engine.name}: every valve\n`);
  head(COLUMNS);
  for (const valve of VALVES) {
    const { rows, rpmPerAir } = await study(engine, valve, ['i', 'pi', 'pid']);
    for (const row of rows) print(line(valve.name, row, rpmPerAir));
    summary.push({ engine, valve, rows });
  }
}
console.log('\nOne property at a time, 1.8 L four\n');
head(COLUMNS);
for (const valve of LADDER) {
  const { rows, rpmPerAir } = await study(ENGINES[0], valve, ['i', 'pi', 'pid']);
  for (const row of rows) print(line(valve.name, row, rpmPerAir));
  summary.push({ engine: ENGINES[0], valve, rows });
}

console.log('\nWhat integral alone scores over what all three terms score, and two terms over three\n');
head(['engine', 'valve', 'has', 'I/PID', 'PI/PID', 'I/PID, trim', 'PI/PID, trim']);
for (const { engine, valve, rows } of summary) {
  const score = (terms, trim) => rows.find((row) => row.terms === terms && row.trim === trim)?.best?.finish.score ?? Number.NaN;
  print([engine.name, valve.name, valve.has ?? '', ...[false, true].flatMap((trim) => ['i', 'pi'].map((terms) => (score(terms, trim) / score('pid', trim)).toFixed(2)))]);
}
