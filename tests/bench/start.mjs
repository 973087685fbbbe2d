/** Cold starts: processes from start to end, beside a bare `node`. */
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT } from './library.mjs';

const COMMAND = join(ROOT, 'bin/tickover.js');
const SCENARIO = 'scenarios/solenoid.yaml';
const ROUNDS = 12;

function once(name, args) {
  const from = process.hrtime.bigint();
  const { status, stderr } = spawnSync(process.execPath, args, { cwd: ROOT, encoding: 'utf8' });
  const ms = Number(process.hrtime.bigint() - from) / 1e6;
  // a run that misses a limit of its scenario ends with 1, and is a whole run
  if (status !== 0 && !(name === 'run' && status === 1)) throw new Error(`${name} ended with ${status}: ${stderr.trim()}`);
  return ms;
}

/** Least times, ms, in turns; or a line that says why there are none. */
export function coldStarts() {
  for (const file of [COMMAND, join(ROOT, 'dist/command/main.js'), join(ROOT, SCENARIO)]) {
    if (!existsSync(file)) return { skipped: `${file.slice(ROOT.length + 1)} is not there; npm run build makes the command line` };
  }
  const commands = { bare: ['-e', '0'], version: [COMMAND, '--version'], run: [COMMAND, 'run', SCENARIO] };
  const least = { bare: Infinity, version: Infinity, run: Infinity };
  try {
    for (let i = 0; i < ROUNDS; i++) {
      for (const [name, args] of Object.entries(commands)) least[name] = Math.min(least[name], once(name, args));
    }
  } catch (error) {
    return { skipped: error.message };
  }
  return { least };
}
