/** The live bench in a real browser: every control by keyboard and pointer, and the way back to a file. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { describe, expect } from 'vitest';
import { tickover } from '../cli/tickover.js';
import { drawn, inBrowser, pages } from './browser.js';
import { root } from './scenarios.js';

const { make, open, folder } = pages();
const scenario = (name: string): string => join(root, 'scenarios', name);

const outcome = async (page: Page): Promise<string> => (await page.locator('#console .state').nth(1).textContent()) ?? '';
/** Waits for the engine's time to pass a moment, s. */
const passes = (page: Page, s: number): Promise<unknown> => page.waitForFunction((wanted) => Number.parseFloat(document.querySelectorAll('#console .state')[1]?.textContent ?? '') > wanted, s);
const lowest = async (page: Page): Promise<number> => Number(/lowest (\d+)/.exec(await outcome(page))![1]);
const faster = (page: Page): Promise<unknown> => page.getByLabel('Pace').selectOption({ label: '4 × faster' });
const box = (page: Page, path: string) => page.locator(`[data-path="${path}"] input[type=number]`);

describe('the live bench', () => {
  inBrowser('runs: a load makes the speed sag, a lower gain makes it sag further, A and B lie over each other', async () => {
    const { page, wrong } = await open(await make(scenario('solenoid.yaml')));
    await drawn(page);
    await faster(page);
    await passes(page, 1);
    const load = page.getByRole('button', { name: 'unannounced load' });
    await load.click();
    expect(await load.getAttribute('aria-pressed')).toBe('true');
    await page.waitForFunction(() => /since a \(load of 8 N·m\): lowest/.test(document.querySelectorAll('#console .state')[1]!.textContent ?? ''));
    await passes(page, 6);
    const before = await lowest(page);
    expect(before).toBeLessThan(750);
    await page.getByRole('button', { name: 'freeze as A' }).click();
    await box(page, 'controller.pid.kp').fill('0.005');
    expect(await page.locator('.different').textContent()).toMatch(/controller\.pid\.kp: A 0\.02, now 0\.005 %\/rpm/);
    await load.click();
    await passes(page, 16);
    await load.click();
    await passes(page, 22);
    expect(await outcome(page)).toMatch(/since c/);
    expect(await lowest(page)).toBeLessThan(before);
    await page.getByRole('button', { name: 'back to A’s settings' }).click();
    expect(await box(page, 'controller.pid.kp').inputValue()).toBe('0.02');
    await page.getByRole('button', { name: 'forget A' }).click();
    expect(await page.locator('.different li').count()).toBe(0);
    expect(wrong).toEqual([]);
  });

  inBrowser('shows a change at the next frames, and new margins beside it', async () => {
    const { page, wrong } = await open(await make(scenario('solenoid.yaml')));
    await drawn(page);
    await page.waitForSelector('.live-margins table');
    const before = await page.locator('.live-margins').textContent();
    await passes(page, 0.5);
    await box(page, 'controller.pid.kp').fill('0.3');
    await page.waitForFunction((was) => document.querySelector('.live-margins')!.textContent !== was, before);
    expect(await page.locator('.live-margins').textContent()).toMatch(/Hunts/);
    // a loop that hunts does so before long
    await page.getByRole('button', { name: 'unannounced load' }).click();
    await faster(page);
    await page.waitForFunction(() => /stalled|highest (8[5-9]|9|1\d)\d/.test([...document.querySelectorAll('#console .state')].map((each) => each.textContent).join()));
    expect(wrong).toEqual([]);
  });

  inBrowser('takes every control by keyboard', async () => {
    const { page, wrong } = await open(await make(scenario('job.yaml')));
    await drawn(page);
    await page.getByLabel('Engine, settings and start of').selectOption({ index: 7 });
    await page.waitForSelector('.live-margins p, .live-margins table');
    const buttons = page.locator('#console .hands button:not(:disabled)');
    const names = await buttons.allInnerTexts();
    expect(names.length).toBeGreaterThan(8);
    for (let i = 0; i < names.length; i++) {
      await buttons.nth(i).focus();
      await page.keyboard.press('Enter');
      expect(await page.locator('#console .state').first().textContent(), names[i]).not.toMatch(/Not done/);
    }
    for (const path of ['controller.pid.ki', 'controller.entry.window', 'engine.inertia']) {
      const slider = page.locator(`[data-path="${path}"] input[type=range]`);
      const was = await box(page, path).inputValue();
      await slider.focus();
      for (let i = 0; i < 5; i++) await page.keyboard.press('ArrowRight');
      expect(await box(page, path).inputValue(), path).not.toBe(was);
      expect(await slider.getAttribute('aria-valuetext')).toContain(await box(page, path).inputValue());
    }
    await page.locator('#find-knob').fill('hysteresis');
    expect(await page.locator('.knob:visible').count()).toBeLessThan(5);
    await page.locator('#find-knob').fill('');
    await page.locator('[data-path="controller.entry.driven"] select').selectOption('stationary');
    await page.getByRole('button', { name: 'settings as in the file' }).press('Enter');
    expect(await page.locator('[data-path="controller.entry.driven"] select').inputValue()).toBe('clutch-or-neutral');
    expect(wrong).toEqual([]);
  });

  inBrowser('refuses a number out of range beside its knob, and goes on as before', async () => {
    const { page, wrong } = await open(await make(scenario('stepper.yaml')));
    await drawn(page);
    const kp = box(page, 'controller.pid.kp');
    await kp.fill('-3');
    expect(await page.locator('[data-path="controller.pid.kp"] .problem').textContent()).toMatch(/-3 step\/rpm is outside 0/);
    expect(await kp.getAttribute('aria-invalid')).toBe('true');
    await kp.fill('0.2');
    expect(await page.locator('[data-path="controller.pid.kp"] .problem').textContent()).toBe('');
    await passes(page, 0.3);
    expect(wrong).toEqual([]);
  });

  inBrowser('copies what was set and played as a file that run takes, and what it did is what run does', async () => {
    const { page, wrong } = await open(await make(scenario('solenoid.yaml')));
    await drawn(page);
    await passes(page, 0.4);
    await box(page, 'controller.pid.ki').fill('0.05');
    await page.getByRole('button', { name: 'unannounced load' }).click();
    await page.waitForFunction(() => /since a/.test(document.querySelectorAll('#console .state')[1]!.textContent ?? ''));
    await page.getByRole('button', { name: 'copy as scenario' }).click();
    const text = await page.getByLabel('The scenario as a file').inputValue();
    expect(text).toMatch(/ki: 0.05/);
    expect(await page.evaluate(() => (globalThis as unknown as { navigator: { clipboard: { readText(): Promise<string> } } }).navigator.clipboard.readText())).toBe(text);
    const file = join(folder(), 'copied.yaml');
    writeFileSync(file, text);
    const { out, err, code } = await tickover(['run', file, '--json']);
    expect([code, err]).toEqual([0, '']);
    const ran = JSON.parse(out) as { events: { name: string; sagRpm: number }[] };
    expect(ran.events.map(({ name }) => name)).toEqual(['load']);
    expect(ran.events[0]!.sagRpm).toBeGreaterThan(50);
    expect(wrong).toEqual([]);
  });

  inBrowser('lays the whole drill with its settings over the traces', async () => {
    const { page, wrong } = await open(await make(scenario('solenoid.yaml')));
    await drawn(page);
    await box(page, 'controller.pid.kp').fill('0.04');
    await page.getByRole('button', { name: 'whole drill' }).click();
    await page.waitForFunction(() => document.querySelectorAll('.runs tbody tr').length === 2 && document.querySelectorAll('.readout tr:first-child td').length >= 2);
    expect(await page.locator('.runs tbody tr').nth(1).textContent()).toMatch(/bench/);
    await box(page, 'controller.pid.kp').fill('0.03');
    await page.getByRole('button', { name: 'whole drill' }).click();
    await page.waitForFunction(() => document.querySelectorAll('.runs tbody tr').length === 2);
    expect(wrong).toEqual([]);
  });

  inBrowser('says why the engine stalled and starts it anew', async () => {
    const { page, wrong } = await open(await make(scenario('solenoid.yaml')));
    await drawn(page);
    await page.locator('[data-path="controller.hold"] input[type=number]').evaluate((input) => ((input as HTMLElement).closest('details') as HTMLDetailsElement).open = true);
    await box(page, 'controller.hold').fill('0');
    await page.waitForFunction(() => /^At .* s: stalled: /.test(document.querySelector('#console .state')!.textContent ?? ''));
    expect(await page.locator('#console .state').first().textContent()).toMatch(/lower stop|less torque/);
    await page.getByRole('button', { name: 'settings as in the file' }).click();
    await page.getByRole('button', { name: 'start anew' }).click();
    await passes(page, 0.2);
    expect(await page.locator('#console .state').first().textContent()).toBe('');
    expect(wrong).toEqual([]);
  });
});
