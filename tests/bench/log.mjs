/**
 * A long log: `node tests/bench/log.mjs [MEGABYTES]`, after a build. Writes an invented drive of twelve channels at 20 Hz (1 GB is
 * about seven days of it) into a folder for passing things, reads it with `tickover diagnose`, and says what that took:
 * seconds, seconds of processor, and the largest resident set.
 */
import { spawnSync } from 'node:child_process';
import { closeSync, existsSync, mkdtempSync, openSync, rmSync, statSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ROOT } from './library.mjs';

const COMMAND = join(ROOT, 'bin/tickover.js');
const megabytes = Number(process.argv[2] ?? 1_000);
if (!(megabytes >= 1 && megabytes <= 100_000)) {
  console.error(`megabytes: ${process.argv[2]} is no number from 1 to 100000`);
  process.exit(2);
}
if (!existsSync(join(ROOT, 'dist/command/main.js'))) {
  console.error('dist/command/main.js is not there; npm run build makes it');
  process.exit(2);
}

const HEADER = 'Time [s],Engine speed [rpm],MAP [kPa],Throttle [%],Spark advance [deg],ECT [°C],IAT [°C],VSS [km/h],Battery voltage [V],Idle valve duty [%],Cooling fan,Clutch\n';
const RATE = 20;

/** Pseudo-random numbers, −1 … 1, the same in every run. D. E. Knuth's multiplier (MMIX), to 32 bits. */
function noise() {
  let state = 12345;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) | 0;
    return state / 2 ** 31;
  };
}

/** Row k: turns of two minutes, idling with a fan on, driving off, coming back; the key is off for 20 s twice an hour. */
function createRow() {
  const any = noise();
  let rpm = 0;
  return (k) => {
    const t = k / RATE;
    const [hour, turn] = [t % 1800, t % 120];
    const off = hour < 20;
    const drives = !off && turn > 60 && turn < 110;
    const fan = turn > 20 && turn < 40 ? 1 : 0;
    const wanted = off ? 0 : drives ? 1800 + 700 * Math.sin(t / 7) : 800 - 40 * fan * Math.exp(20 - turn);
    rpm += (wanted - rpm) * 0.08;
    const warm = 85 - 60 * Math.exp(-t / 400);
    const kpa = off ? 100.8 + 0.1 * any() : drives ? 55 + 15 * Math.sin(t / 3) : 33 + 2 * fan + 0.4 * any();
    return `${(k / RATE).toFixed(2)},${off && rpm < 30 ? 0 : Math.round(rpm + (off ? 0 : 6 * any()))},${kpa.toFixed(1)},${drives ? (12 + 5 * Math.sin(t / 3)).toFixed(1) : '0.0'},${(10 + 3 * any()).toFixed(1)},${warm.toFixed(0)},${(30 + 2 * any()).toFixed(0)},${drives ? (40 + 20 * Math.sin(t / 9)).toFixed(0) : '0'},${(14.1 - 0.3 * fan).toFixed(2)},${(32 + 3 * fan + any()).toFixed(1)},${fan},${drives ? 0 : 1}\n`;
  };
}

/** @returns rows written */
function write(file, bytes) {
  const row = createRow();
  const handle = openSync(file, 'w');
  let [written, k] = [writeSync(handle, HEADER), 0];
  while (written < bytes) {
    let text = '';
    for (const until = k + 5_000; k < until; k++) text += row(k);
    written += writeSync(handle, text);
  }
  closeSync(handle);
  return k;
}

/** Says what the process took, as it ends. */
const TELL = `data:text/javascript,${encodeURIComponent('process.on("exit", () => { const u = process.resourceUsage(); process.stderr.write(`\\nTOOK ${u.maxRSS} ${u.userCPUTime + u.systemCPUTime}\\n`); });')}`;

const folder = mkdtempSync(join(tmpdir(), 'tickover-bench-'));
try {
  const file = join(folder, 'log.csv');
  const rows = write(file, megabytes * 1e6);
  console.log(`${(statSync(file).size / 1e6).toFixed(0)} MB, ${rows} rows, ${(rows / RATE / 86_400).toFixed(2)} days at ${RATE} Hz`);
  const from = process.hrtime.bigint();
  const { status, stderr, stdout } = spawnSync(process.execPath, ['--import', TELL, COMMAND, 'diagnose', file], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });
  const s = Number(process.hrtime.bigint() - from) / 1e9;
  if (status !== 0 && status !== 1) throw new Error(`tickover diagnose ended with ${status}: ${stderr}${stdout}`);
  const [, kilobytes, cpu] = /TOOK (\d+) (\d+)/.exec(stderr);
  console.log(`tickover diagnose: ${s.toFixed(1)} s, ${(Number(cpu) / 1e6).toFixed(1)} s of processor, ${(Number(kilobytes) / 1e3).toFixed(0)} MB at most`);
} finally {
  rmSync(folder, { recursive: true, force: true });
}
