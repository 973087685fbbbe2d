/**
 * A sweep killed at random moments and resumed, over and over, against one left alone: `node tests/bench/kill.mjs [KILLS] [SEED]`, after a
 * build. Fails when a store that was killed on its way differs by a byte from the whole one.
 */
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ROOT } from './library.mjs';

const wanted = Number(process.argv[2] ?? 50);
let state = Number(process.argv[3] ?? 7);
/** Lehmer's generator with the factor of Park and Miller (Communications of the ACM 31, 1988): enough for moments. */
const random = () => (state = (state * 48_271) % 2_147_483_647) / 2_147_483_647;

const folder = mkdtempSync(join(tmpdir(), 'tickover-kill-'));
const sweep = (file) => ['bin/tickover.js', 'sweep', 'scenarios/solenoid.yaml', '--vary', 'controller.pid.kp=0.005:0.08:20:log', '--vary', 'controller.pid.ki=0.005:0.05:40:log', '--jobs', '2', existsSync(file) ? '--resume' : '--out', file];
try {
  const whole = join(folder, 'whole.jsonl');
  const from = Date.now();
  spawnSync(process.execPath, sweep(whole), { cwd: ROOT });
  const ms = Date.now() - from;
  const bytes = readFileSync(whole);
  console.log(`800 cells in ${(ms / 1000).toFixed(1)} s, ${bytes.length} bytes`);
  const seen = { kills: 0, beforeTheStore: 0, ends: 0, differ: 0, sizes: new Set() };
  let file = join(folder, 'killed-0.jsonl');
  const compare = () => {
    seen.ends += 1;
    if (!readFileSync(file).equals(bytes)) seen.differ += 1;
    file = join(folder, `killed-${seen.ends}.jsonl`);
  };
  while (seen.kills < wanted) {
    const child = spawn(process.execPath, sweep(file), { cwd: ROOT, stdio: 'ignore' });
    const timer = setTimeout(() => child.kill('SIGKILL'), 300 + 0.25 * ms * random());
    const signal = await new Promise((done) => child.on('exit', (_, by) => done(by)));
    clearTimeout(timer);
    if (signal !== 'SIGKILL') compare();
    else if (!existsSync(file)) seen.beforeTheStore += 1;
    else {
      seen.kills += 1;
      seen.sizes.add(statSync(file).size);
    }
  }
  spawnSync(process.execPath, sweep(file), { cwd: ROOT });
  compare();
  console.log(`${seen.kills} kills at ${seen.sizes.size} different lengths of the store (${seen.beforeTheStore} more before there was one), ${seen.ends} sweeps brought to their end, ${seen.differ} of them other than the whole one`);
  process.exitCode = seen.differ === 0 ? 0 : 1;
} finally {
  rmSync(folder, { recursive: true, force: true });
}
