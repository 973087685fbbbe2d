/**
 * The page in a real browser: `npm run bench:page`, after a build; needs playwright-core and a Chromium (CHROMIUM=/path names one).
 *
 * First paint of a page of 28 drills from disk, and of the live bench; frames of the bench over a minute of live run; how soon a
 * turned knob is taken. Numbers of this machine as it is: nothing here fails.
 */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { cpus, loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';
import { ROOT } from './library.mjs';

const LIVE_S = Number(process.argv[2] ?? 60);
const ROUNDS = 5;
const KNOB = '[data-path="controller.pid.kp"] input[type=number]';

const executablePath = [process.env.CHROMIUM, '/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find((path) => path && existsSync(path));
if (executablePath === undefined) {
  console.error('no Chromium found; CHROMIUM=/path/to/it names one');
  process.exit(2);
}
const folder = mkdtempSync(join(tmpdir(), 'tickover-bench-'));
const median = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];

function make(name, scenario) {
  const path = join(folder, name);
  try {
    execFileSync(process.execPath, [join(ROOT, 'bin/tickover.js'), 'page', join(ROOT, scenario), '-o', path], { stdio: ['ignore', 'ignore', 'inherit'] });
  } catch (error) {
    throw new Error(`no page of ${scenario}: ${error.message}`);
  }
  return path;
}

const browser = await chromium.launch({ executablePath, args: ['--no-sandbox', '--disable-background-networking'] });

/** First contentful paint and the moment the traces are drawn, ms from the start of loading. */
async function paints(path) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  const page = await context.newPage();
  await page.goto(pathToFileURL(path).href);
  await page.waitForFunction(() => document.querySelectorAll('#strips canvas').length > 3 && document.querySelector('.readout td') !== null);
  const drawn = await page.evaluate(() => performance.now());
  const paint = await page.evaluate(() => performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? null);
  await context.close();
  return { paint, drawn };
}

try {
  console.log(`${cpus().length} × ${cpus()[0]?.model.trim() ?? 'unknown processor'}, load ${loadavg()[0].toFixed(1)} at the start; ${await browser.version()}`);
  for (const [name, scenario] of [['one.html', 'scenarios/solenoid.yaml'], ['job.html', 'scenarios/job.yaml']]) {
    const path = make(name, scenario);
    const found = [];
    for (let i = 0; i < ROUNDS; i++) found.push(await paints(path));
    console.log(`${scenario}: ${Math.ceil(statSync(path).size / 1024)} kB; first paint ${median(found.map(({ paint }) => paint)).toFixed(0)} ms, traces drawn ${median(found.map(({ drawn }) => drawn)).toFixed(0)} ms (median of ${ROUNDS})`);
  }
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  const page = await context.newPage();
  await page.goto(pathToFileURL(join(folder, 'one.html')).href);
  await page.locator('#bench').scrollIntoViewIfNeeded();
  await page.waitForFunction(() => /\d rpm/.test(document.querySelectorAll('#console .state')[1]?.textContent ?? ''));
  const frames = await page.evaluate((seconds) => new Promise((done) => {
    const from = performance.now();
    const gaps = [];
    let before = from;
    const next = (now) => {
      gaps.push(now - before);
      before = now;
      if (now - from < seconds * 1000) requestAnimationFrame(next);
      else done(gaps.slice(1));
    };
    requestAnimationFrame(next);
  }), LIVE_S);
  const told = await page.locator('#console .state').nth(1).textContent();
  const sum = frames.reduce((a, b) => a + b, 0);
  const late = frames.filter((gap) => gap > 25).length;
  console.log(`live bench, ${LIVE_S} s in real time: ${((1000 * frames.length) / sum).toFixed(1)} frames/s, ${((100 * late) / frames.length).toFixed(1)} % of frames later than 25 ms, the longest ${Math.max(...frames).toFixed(0)} ms; engine's time at the end ${told.split(':')[0]}`);

  const answers = [];
  for (let i = 0; i < 20; i++) {
    answers.push(await page.evaluate(({ knob, value }) => new Promise((done) => {
      const box = document.querySelector(knob);
      const words = document.querySelector('.live-margins');
      const from = performance.now();
      const watch = new MutationObserver(() => {
        watch.disconnect();
        done(performance.now() - from);
      });
      watch.observe(words, { childList: true, subtree: true });
      box.value = String(value);
      box.dispatchEvent(new Event('input', { bubbles: true }));
    }), { knob: KNOB, value: 0.02 + 0.001 * i }));
    await page.waitForTimeout(100);
  }
  console.log(`a knob turned, until its new margins stand beside it: ${median(answers).toFixed(0)} ms (median of ${answers.length}), at most ${Math.max(...answers).toFixed(0)} ms`);
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
