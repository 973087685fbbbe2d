/**
 * How near `tune` comes to the best of a grid of 15 × 15 × 15 air gains × 8 spark rates, and at what share of its cost.
 *
 *     npm run build:library && node tests/bench/tune-grid.mjs
 *
 * Two drills of 8 s on three engines (inertia as described, lower, higher). The grid's minimum is exact: cells over a bound
 * on sensitivity need no run, and a cell is given up once it must be dearer than the best so far. Its cost is counted as if
 * every cell had been run through.
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { loadScenarioOrThrow } from '../../dist/scenario/index.js';
import { tuneCorners } from '../../dist/search/tune/corners.js';
import { createReferee } from '../../dist/search/tune/referee.js';
import { stageOf } from '../../dist/search/tune/result.js';
import { tune } from '../../dist/search/tune/tune.js';

const file = fileURLToPath(new URL('tune-grid.yaml', import.meta.url));
const scenarios = await loadScenarioOrThrow(file, { read: (path) => readFileSync(path, 'utf8') });
const inertia = { key: 'engine.inertia', unit: 'kg m^2', spacing: 'linear', lo: 0.12, hi: 0.18, integer: false };
const limits = { msNominal: 1.6, msCorner: 2, settlingS: 3, huntingRpm: 25 };
const corners = tuneCorners(scenarios, [inertia], true);
const jobs = 2;

const tuned = await tune({
  scenarios, terms: null, airOnly: false, uncertain: [inertia], onlyThese: true, further: [], limits, budgetS: Number(process.argv[2] ?? 20_000), seed: 1, jobs,
});
const best = stageOf(tuned).best.judged;

const keys = ['controller.pid.kp', 'controller.pid.ki', 'controller.pid.kd', 'controller.spark.rate'];
const referee = await createReferee({ scenarios, idle: scenarios[0], corners, keys, limits, jobs });
const log = (lo, hi, n) => Array.from({ length: n }, (_, i) => Number((lo * (hi / lo) ** (i / (n - 1))).toPrecision(4)));
const gains = [log(0.002, 0.1, 15), log(0.004, 0.3, 15), [0, ...log(0.0003, 0.02, 14)], [0, 0.03, 0.06, 0.1, 0.15, 0.2, 0.3, 0.4]];
const cells = gains.reduce((sets, values) => sets.flatMap((set) => values.map((value) => [...set, value])), [[]]);
const order = corners.flatMap((_, corner) => scenarios.map((_drill, drill) => corner * scenarios.length + drill));
let least = null;
for (let from = 0; from < cells.length; from += 200) {
  const judged = await referee.judge(cells.slice(from, from + 200), { order, onlyHolding: true, stopAbove: least?.cost ?? null });
  for (const each of judged) if (each?.holds === true && (least === null || each.cost < least.cost)) least = each;
}
await referee.close();
const whole = cells.length * order.length * 8;
const ratio = best.finish.score / least.finish.score;
console.log(`grid: ${cells.length} cells, best ${least.finish.score.toFixed(4)} at ${least.values.join(' ')}, ${whole} drill-seconds in full`);
console.log(`tune: ${best.holds ? 'keeps every limit' : 'breaks a limit'}, ${best.finish.score.toFixed(4)} at ${best.values.join(' ')}, ${Math.round(tuned.spent.simulatedS)} drill-seconds`);
console.log(`${(100 * (ratio - 1)).toFixed(1)} % from the grid's best, at ${((100 * tuned.spent.simulatedS) / whole).toFixed(1)} % of its cost`);
process.exitCode = best.holds && ratio <= 1.02 && tuned.spent.simulatedS <= 0.05 * whole ? 0 : 1;
