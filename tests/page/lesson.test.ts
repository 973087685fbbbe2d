/** Lessons as pages in a real browser: a prediction first, steps that move the cursor, an exercise that is checked. */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { describe, expect } from 'vitest';
import { LESSONS, runLesson } from '../../src/lessons/index.js';
import { lessonParts } from '../../src/report/lesson-page.js';
import { tickover } from '../cli/tickover.js';
import { barriers, inBrowser, pages } from './browser.js';
import { read, root } from './scenarios.js';

const { open, folder } = pages();

async function lesson(name: string): Promise<string> {
  const path = join(folder(), `${name}.html`);
  const { code, err } = await tickover(['lesson', name, '--page', path]);
  expect([code, err]).toEqual([0, '']);
  return path;
}

const told = (page: Page): Promise<unknown> => page.waitForFunction(() => document.querySelectorAll('#strips canvas').length > 3 && document.querySelector('.steps button') !== null);
const cursor = (page: Page): Promise<string | null> => page.locator('#strips .readout caption').textContent();

describe('a page of a lesson', () => {
  inBrowser('shows the question alone until there is a prediction, taken by keys', async () => {
    const { page, wrong } = await open(await lesson('free-rev'));
    expect(await page.locator('#question').isVisible()).toBe(true);
    for (const id of ['happened', 'numbers', 'exercise', 'bench']) expect(await page.locator(`#${id}`).isVisible(), id).toBe(false);
    expect(await page.locator('nav a:visible').count()).toBe(1);
    expect(await page.getByText(/closes at once/i).locator('visible=true').count()).toBe(0);
    await page.locator('#predict').press('Enter');
    expect(await page.locator('#predicted').textContent()).toMatch(/Choose a, b or c first/);
    expect(await page.locator('#happened').isVisible()).toBe(false);
    await page.locator('input[value=a]').focus();
    await page.keyboard.press('Space');
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('ArrowDown');
    await page.locator('#predict').press('Enter');
    await told(page);
    expect(await page.locator('#predicted').textContent()).toBe('You expected c; what came is b.');
    for (const id of ['happened', 'numbers', 'exercise', 'bench']) expect(await page.locator(`#${id}`).isVisible(), id).toBe(true);
    expect(await page.evaluate(() => document.activeElement?.id)).toBe('happened-h');
    expect(wrong).toEqual([]);
  });

  inBrowser('goes on without one by the pointer, and runs to the same bits as the command line', async () => {
    const { page, wrong } = await open(await lesson('lead'));
    await page.locator('#pass').click();
    await told(page);
    expect(await page.locator('#predicted').textContent()).toBe('Nothing predicted.');
    expect(await page.locator('#strips .bits').textContent()).toMatch(/the same bits as where the words/);
    expect(wrong).toEqual([]);
  });

  inBrowser('takes the cursor to each step by its button, by next and before, and marks the step', async () => {
    const { page, wrong } = await open(await lesson('free-rev'));
    await page.locator('label:has(input[value=b])').click();
    await page.locator('#predict').click();
    await told(page);
    expect(await page.locator('#predicted').textContent()).toBe('You expected b, and so it came.');
    await page.locator('#strips summary').click();
    const steps = page.locator('.steps li[data-at]');
    const count = await steps.count();
    expect(count).toBeGreaterThan(4);
    for (let i = 0; i < count; i++) {
      const at = Number(await steps.nth(i).getAttribute('data-at'));
      await steps.nth(i).locator('button').press('Enter');
      const seen = Number(/([\d.]+) s$/.exec((await cursor(page))!)![1]);
      expect(Math.abs(seen - at), `${i}`).toBeLessThan(0.02);
      expect(await page.locator('.steps li[aria-current=step]').count()).toBe(1);
      expect(await steps.nth(i).getAttribute('aria-current')).toBe('step');
    }
    await page.getByRole('button', { name: 'step before' }).click();
    expect(await steps.nth(count - 2).getAttribute('aria-current')).toBe('step');
    await page.getByRole('button', { name: 'next step' }).press('Space');
    expect(await steps.nth(count - 1).getAttribute('aria-current')).toBe('step');
    expect(wrong).toEqual([]);
  });

  inBrowser('checks its exercise on the bench: not yet and why, another setting refused, and passed', async () => {
    const { page, wrong } = await open(await lesson('mixture'));
    await page.locator('#pass').click();
    await told(page);
    const result = page.locator('#checked');
    const check = async (until: RegExp): Promise<void> => {
      await page.locator('#check').click();
      await page.waitForFunction((source) => new RegExp(source).test(document.querySelector('#checked')!.textContent ?? ''), until.source);
    };
    await check(/Not yet\. Misses 2 limits/);
    expect(await result.locator('li').count()).toBe(2);
    expect(await page.locator('#exercise-strips canvas').count()).toBeGreaterThan(3);
    // what the exercise is about is what the reader sees of the settings
    expect(await page.locator('.knob:visible').evaluateAll((knobs) => knobs.map((knob) => (knob as HTMLElement).dataset.path))).toEqual(['controller.loads.0.air']);
    expect(await page.locator('.knob:visible label').textContent()).toMatch(/^loads 1 air/);
    const box = (path: string) => page.locator(`[data-path="${path}"] input[type=number]`);
    await box('controller.loads.0.air').fill('6.2');
    await check(/Passed\. Holds/);
    await page.locator('#find-knob').fill('controller.pid.kp');
    await box('controller.pid.kp').fill('0.05');
    await check(/Not checked: controller\.pid\.kp was changed too, and the exercise is about controller\.loads\.0\.air/);
    await box('controller.pid.kp').fill('0');
    await page.getByRole('button', { name: 'check the exercise with these settings' }).press('Enter');
    await page.waitForFunction(() => /Passed\. Holds/.test(document.querySelector('#checked')!.textContent ?? ''));
    expect(wrong).toEqual([]);
  });

  inBrowser('has all its text without scripts, and on paper', async () => {
    const path = await lesson('wind-up');
    const bare = join(folder(), 'bare.html');
    writeFileSync(bare, readFileSync(path, 'utf8').replace(/script-src '[^']*'/, "script-src 'none'"));
    const context = await (await open(path)).page.context().browser()!.newContext({ javaScriptEnabled: false });
    const page = await context.newPage();
    await page.goto(`file://${bare}`);
    for (const id of ['question', 'happened', 'numbers', 'exercise']) expect(await page.locator(`#${id}`).isVisible(), id).toBe(true);
    expect(await page.locator('.steps li').first().isVisible()).toBe(true);
    expect(await page.locator('#predict').isVisible()).toBe(false);
    expect(await page.locator('#bench').isVisible()).toBe(false);
    await context.close();
    const { page: paper } = await open(path, { scheme: 'dark' });
    await paper.locator('#pass').click();
    await told(paper);
    expect((await paper.pdf({ format: 'A4' })).length).toBeGreaterThan(20_000);
    await paper.emulateMedia({ media: 'print' });
    expect(await paper.locator('#bench').isVisible()).toBe(false);
    expect(await paper.locator('.steps li').first().isVisible()).toBe(true);
  });

  inBrowser('has no barrier that axe knows, before and after the prediction, light or dark, wide or narrow, and fits', async () => {
    const path = await lesson('overrun');
    for (const [width, scheme] of [[1280, 'light'], [360, 'dark']] as const) {
      const { page } = await open(path, { width, scheme });
      expect(await barriers(page)).toEqual([]);
      await page.locator('input[value=c]').check();
      await page.locator('#predict').click();
      await told(page);
      await page.locator('.steps button').first().click();
      await page.locator('#check').click();
      await page.waitForSelector('#exercise-strips canvas');
      expect(await barriers(page)).toEqual([]);
      await page.context().close();
    }
    const { page } = await open(path);
    await page.locator('#pass').click();
    await told(page);
    for (const width of [360, 768, 1280, 2560]) {
      await page.setViewportSize({ width, height: 900 });
      await page.waitForFunction((wanted) => document.documentElement.clientWidth === wanted, width);
      expect(await page.evaluate(() => document.documentElement.scrollWidth), `${width}`).toBe(width);
    }
  });

  inBrowser('without workers tells all the same, and says what is missing', async () => {
    const { page, wrong } = await open(await lesson('spark'), { before: () => Reflect.deleteProperty(globalThis, 'Worker') });
    await page.locator('#pass').click();
    await told(page);
    expect(await page.locator('#notice').textContent()).toMatch(/live bench needs a web worker/);
    expect(await page.locator('#strips .bits').textContent()).toMatch(/the same bits/);
    expect(wrong).toEqual([]);
  });

  inBrowser('holds hostile words as plain text', async () => {
    const hostile = '</script><img src=x onerror=alert(1)><svg onload=alert(2)>&"\'';
    const lead = LESSONS.find(({ name }) => name === 'lead')!;
    const scenarios = `${root}scenarios/lessons/`;
    const runs = await runLesson(lead, scenarios, read);
    const named = { ...lead, about: hostile, question: hostile, exercise: { ...lead.exercise, task: hostile, mayChange: [hostile] }, choices: lead.choices.map((choice) => ({ ...choice, text: hostile })) as unknown as typeof lead.choices, tell: () => [{ atS: 1, says: hostile, holds: true }] };
    // made by the built command for its program, with hostile words in place of ours
    const built = readFileSync(await lesson('lead'), 'utf8');
    const parts = lessonParts({
      name: hostile, about: hostile, question: hostile, choices: named.choices, came: named.choices[2], task: hostile, mayChange: [hostile], steps: named.tell(), events: [{ atS: 1, what: hostile }],
      wrong: { ...runs.wrong, name: hostile }, right: { ...runs.right, name: hostile },
    }, { id: 'bench', heading: hostile, about: hostile, live: true, body: '<div id="console"></div>' });
    const main = parts.map(({ id, body }) => `<section id="${id}"><h2 id="${id}-h">x</h2>${body}</section>`).join('');
    const path = join(folder(), 'hostile.html');
    writeFileSync(path, built.replace(/<section id="question"[\s\S]*<\/section>(?=\s*<\/main>)/, () => main));
    const { page, wrong } = await open(path);
    await page.locator('#pass').click();
    await told(page);
    expect(await page.locator('img, svg, iframe').count()).toBe(0);
    expect(await page.locator('.ask').first().textContent()).toBe(hostile);
    expect(await page.locator('.steps .says').textContent()).toBe(hostile);
    expect(wrong).toEqual([]);
  });
});
