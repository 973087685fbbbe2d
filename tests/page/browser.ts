/** A real browser for the tests of the page: Chromium, found where systems keep it. */
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { build, BUILD_MS, tickover } from '../cli/tickover.js';

const PLACES = [process.env.CHROMIUM, '/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome', '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome', '/Applications/Chromium.app/Contents/MacOS/Chromium'];

/** Where a browser is, or null. */
export const browserPath = PLACES.find((path) => path !== undefined && path !== '' && existsSync(path)) ?? null;

/** On a machine without a browser these tests are skipped with a line that says so; where CI is set that is a failure. */
export const inBrowser = browserPath === null ? test.skip : test;
if (browserPath === null) {
  if ((process.env.CI ?? '') === '') process.stderr.write('No Chromium found: the tests of the page in a browser are skipped. CHROMIUM=/path/to/it names one.\n');
  else test('the tests of the page in a browser are run', () => expect.fail('no Chromium found, and CI is set: these tests may not be skipped'));
}

const axeSource = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

export interface Opened {
  readonly page: Page;
  /** Errors and warnings on the console, pages' errors, requests that left the page: all must stay empty. */
  readonly wrong: string[];
}

export interface Looks {
  readonly width?: number;
  readonly height?: number;
  readonly scheme?: 'light' | 'dark';
  readonly touch?: boolean;
  /** Run before the page's own program. */
  readonly before?: () => void;
}

/** Builds the command, starts a browser for the tests of a file, and makes and opens pages for them. */
export function pages(): { make(...args: readonly string[]): Promise<string>; open(path: string, looks?: Looks): Promise<Opened>; folder(): string } {
  let browser: Browser | null = null;
  const folder = mkdtempSync(join(tmpdir(), 'tickover-page-'));
  beforeAll(async () => {
    if (browserPath === null) return;
    await build();
    browser = await chromium.launch({ executablePath: browserPath, args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking'] });
  }, BUILD_MS);
  afterAll(async () => {
    await browser?.close();
    rmSync(folder, { recursive: true, force: true });
  });
  let count = 0;
  return {
    folder: () => folder,
    async make(...args) {
      const path = join(folder, `page-${count++}.html`);
      const { code, err } = await tickover(['page', ...args, '-o', path]);
      expect([code, err]).toEqual([0, '']);
      return path;
    },
    async open(path, { width = 1280, height = 900, scheme = 'light', touch = false, before } = {}) {
      const context = await browser!.newContext({ viewport: { width, height }, colorScheme: scheme, hasTouch: touch, permissions: ['clipboard-read', 'clipboard-write'] });
      const page = await context.newPage();
      const wrong: string[] = [];
      page.on('console', (message) => wrong.push(`${message.type()}: ${message.text()}`));
      page.on('pageerror', (error) => wrong.push(`error: ${error.message}`));
      page.on('dialog', (dialog) => {
        wrong.push(`dialog: ${dialog.message()}`);
        void dialog.dismiss();
      });
      page.on('request', (request) => {
        const url = request.url();
        if (url !== pathToFileURL(path).href && !url.startsWith('blob:')) wrong.push(`request: ${url}`);
      });
      if (before !== undefined) await page.addInitScript(before);
      await page.goto(pathToFileURL(path).href);
      return { page, wrong };
    },
  };
}

/** Waits until the traces are drawn, or the line under them says how its bits compare. */
export const drawn = (page: Page): Promise<unknown> => page.waitForFunction(() => document.querySelectorAll('#strips canvas').length > 3 && document.querySelector('.pins') !== null && document.querySelector('.readout td') !== null);

interface Violation {
  readonly id: string;
  readonly nodes: readonly { readonly html: string; readonly failureSummary: string }[];
}

/** Barriers that axe finds on a page, in words. */
export async function barriers(page: Page): Promise<readonly string[]> {
  await page.evaluate(axeSource);
  const violations = await page.evaluate(async () => (await (globalThis as unknown as { axe: { run(): Promise<{ violations: Violation[] }> } }).axe.run()).violations);
  return violations.map(({ id, nodes }) => `${id}: ${nodes[0]!.html} ${nodes[0]!.failureSummary}`);
}
