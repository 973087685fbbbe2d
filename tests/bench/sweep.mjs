/**
 * Sweeps at scale: `node tests/bench/sweep.mjs [SETS]`, after a build. Gain sets a second over three drills of 15 s with one
 * worker and with two, and the most memory that a sweep takes as its rows grow.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import { ROOT } from './library.mjs';

const COMMAND = join(ROOT, 'bin/tickover.js');
if (!existsSync(join(ROOT, 'dist/command/main.js'))) {
  console.error('dist/command/main.js is not there; npm run build makes it');
  process.exit(2);
}
const sets = Number(process.argv[2] ?? 1_000);
if (!(Number.isInteger(sets) && sets >= 10)) {
  console.error(`sets: ${process.argv[2]} is no whole number from 10`);
  process.exit(2);
}

/** Says the largest resident set of the main process, workers included, as it ends. */
const TELL = `data:text/javascript,${encodeURIComponent(
  'import { isMainThread } from "node:worker_threads"; if (isMainThread) process.on("exit", () => process.stderr.write(`\\nMAXRSS ${process.resourceUsage().maxRSS}\\n`));',
)}`;

const folder = mkdtempSync(join(tmpdir(), 'tickover-bench-'));

/** @returns seconds, and megabytes */
function run(args) {
  const from = process.hrtime.bigint();
  const { status, stderr } = spawnSync(process.execPath, ['--import', TELL, COMMAND, ...args], { cwd: ROOT, encoding: 'utf8', stdio: ['ignore', 'ignore', 'pipe'] });
  if (status !== 0 && status !== 1) throw new Error(`tickover ${args.join(' ')} ended with ${status}: ${stderr}`);
  return { s: Number(process.hrtime.bigint() - from) / 1e9, mb: Number(/MAXRSS (\d+)/.exec(stderr)[1]) / 1e3 };
}

/** Sets a second between a short sweep and a long one: starting the program and warming up are in both. */
function rate(jobs) {
  const sweep = (n) => run(['sweep', 'scenarios/gains.yaml', '--vary', 'controller.pid.kp=0.005:0.08:log', '--vary', 'controller.pid.ki=0.005:0.05:log', '--sample', String(n), '--jobs', String(jobs), '--out', join(folder, `${jobs}-${n}.jsonl`)]);
  const few = Math.ceil(sets / 10);
  const [short, long] = [sweep(few), sweep(sets)];
  return { perSecond: (sets - few) / (long.s - short.s), mb: long.mb };
}

try {
  console.log(`${sets} gain sets × 3 drills of 15 s, ${availableParallelism()} processors`);
  const [one, two] = [rate(1), rate(2)];
  console.log(`  1 worker   ${one.perSecond.toFixed(1)} sets/s, ${one.mb.toFixed(0)} MB`);
  console.log(`  2 workers  ${two.perSecond.toFixed(1)} sets/s, ${two.mb.toFixed(0)} MB; ${(two.perSecond / one.perSecond).toFixed(2)} times as fast\n`);

  console.log('memory against rows, a drill of 0.1 s, 2 workers');
  const tiny = join(folder, 'tiny.yaml');
  writeFileSync(tiny, 'title: tiny\ndrill: {name: steady, events: []}\nrun: {duration: 0.1, record: 0.02}\n');
  for (const side of [32, 100, 316, 1_000]) {
    const store = join(folder, `${side}.jsonl`);
    const { s, mb } = run(['sweep', tiny, '--vary', `controller.pid.kp=0.005:0.08:${side}:log`, '--vary', `controller.pid.ki=0.005:0.05:${side}`, '--jobs', '2', '--out', store]);
    const again = run(['merge', store]);
    console.log(`  ${String(side * side).padStart(7)} rows  ${mb.toFixed(0).padStart(4)} MB in ${s.toFixed(1)} s; shown again from its file of ${(statSync(store).size / 1e6).toFixed(1)} MB: ${again.mb.toFixed(0)} MB in ${again.s.toFixed(1)} s`);
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}
