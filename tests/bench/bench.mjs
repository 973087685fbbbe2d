/**
 * `npm run bench`: how fast the plant steps, beside the same equations in C, and how soon the command line is there.
 *
 * Each measurement is a process of its own; they take turns, and the least time of all rounds counts, since a busy machine
 * only ever adds. `npm run bench -- ROUNDS` for more or fewer than 5.
 */
import { execFileSync } from 'node:child_process';
import { cpus } from 'node:os';
import { fileURLToPath } from 'node:url';
import { compiled, distIsFresh } from './library.mjs';
import { coldStarts } from './start.mjs';
import { yardsticks } from './yardstick.mjs';

const MEASURE = fileURLToPath(new URL('./measure.mjs', import.meta.url));
/** The two languages may differ by this, relative, in the final state. */
const TOLERANCE = 1e-9;

const rounds = Number(process.argv[2] ?? 5);
if (!(Number.isInteger(rounds) && rounds >= 1)) {
  console.error(`rounds: ${process.argv[2]} is no whole number from 1`);
  process.exit(2);
}

const library = compiled();
const c = yardsticks();
let agrees = true;
try {
  console.log(`node ${process.version}, ${cpus()[0]?.model.trim() ?? 'unknown processor'}; ${c?.compiler ?? 'no C compiler here: TypeScript alone'}`);
  console.log(distIsFresh() ? 'code: dist\n' : 'code: built afresh, dist is older than src\n');
  plants();
  scenarios();
} finally {
  library.remove();
  c?.remove();
}
starts();
process.exit(agrees ? 0 : 1);

function measure(what) {
  return JSON.parse(execFileSync(process.execPath, [MEASURE, library.folder, what], { encoding: 'utf8' }));
}

function plants() {
  const kinds = [
    ['C -O3, same tables', c?.tables],
    ['C -O3, libm in place of tables', c?.libm],
    ['TypeScript, one plant', () => measure('plant')],
    ['TypeScript, a new plant each drill', () => measure('plants')],
  ].filter(([, run]) => run !== undefined);
  const least = new Map(kinds.map(([name]) => [name, null]));
  for (let i = 0; i < rounds; i++) {
    for (const [name, run] of kinds) {
      const result = run();
      if (least.get(name) === null || result.nsPerStep < least.get(name).nsPerStep) least.set(name, result);
    }
  }
  const perC = least.get('C -O3, same tables')?.nsPerStep;
  console.log('plant step                             ns/step   per C');
  for (const [name, { nsPerStep }] of least) {
    console.log(`  ${name.padEnd(34)} ${nsPerStep.toFixed(1).padStart(9)} ${(perC === undefined ? '–' : (nsPerStep / perC).toFixed(2)).padStart(7)}`);
  }
  for (const [what, name] of [['allocation', 'one plant'], ['allocations', 'a new plant each drill']]) {
    const { bytes, places } = measure(what);
    console.log(`  allocated, ${name}: ${bytes.toFixed(1)} B/step${places.map(([place, b]) => `; ${place} ${b.toFixed(1)}`).join('')}`);
  }
  compareStates(least);
}

/** Says whether all come to the same final state. */
function compareStates(least) {
  const own = least.get('TypeScript, one plant');
  for (const [name, { state, running }] of least) {
    const difference = Math.max(...state.map((x, i) => Math.abs(x - own.state[i]) / Math.max(Math.abs(own.state[i]), 1)));
    const same = running === own.running && difference <= TOLERANCE;
    agrees &&= same;
    if (name !== 'TypeScript, one plant') console.log(`  ${same ? 'same' : 'NOT THE SAME'} final state, ${name}: within ${difference.toExponential(1)}`);
  }
  const [omega, , pressure] = own.state;
  console.log(`  that state: ${((omega * 30) / Math.PI).toFixed(3)} rpm, ${(pressure / 1000).toFixed(5)} kPa, ${own.running ? 'running' : 'not running'}\n`);
}

function scenarios() {
  let most = 0;
  for (let i = 0; i < rounds; i++) most = Math.max(most, measure('scenarios').perSecond);
  console.log(`whole 15 s scenarios, 8 N·m on and off in closed loop: ${most.toFixed(0)} a second on one core\n`);
}

function starts() {
  const { least, skipped } = coldStarts();
  if (skipped !== undefined) {
    console.log(`cold start: skipped, ${skipped.split('\n')[0]}`);
    return;
  }
  console.log('cold start                                  ms');
  console.log(`  bare node                             ${least.bare.toFixed(0).padStart(6)}`);
  console.log(`  tickover --version                    ${least.version.toFixed(0).padStart(6)}   ${(least.version - least.bare).toFixed(0)} over bare node`);
  console.log(`  tickover run, a 15 s drill, whole     ${least.run.toFixed(0).padStart(6)}`);
}
