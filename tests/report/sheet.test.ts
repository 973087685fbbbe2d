import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { controllerTable } from '../../src/controller/parameters.js';
import { fill } from '../../src/parameter/fill.js';
import { cautions } from '../../src/report/caution.js';
import { controllerFile } from '../../src/report/controller-file.js';
import { setupPage, setupVerdict } from '../../src/report/setup-text.js';
import { textWidth } from '../../src/report/text.js';
import { sheetHtml } from '../../src/report/sheet-html.js';
import { sheetMarkdown } from '../../src/report/sheet-markdown.js';
import { type SheetOptions, sheetOf } from '../../src/report/sheet.js';
import { createRunner } from '../../src/setup/prove.js';
import type { SetupResult } from '../../src/setup/index.js';
import { load } from '../scenario/files.js';

const HOSTILE = '<script>alert(1)</script> ![x](http://evil.test/x.png) | *bold* `code` <img src=x onerror=y> &amp; \u001b[31m\n# heading';

/** A result without the search for it: the sheet does not care how its numbers were found. */
async function resultFor(title: string, controller = ''): Promise<SetupResult> {
  const scenario = await load(`title: ${JSON.stringify(title)}\n${controller}run: {duration: 3}\n`);
  const { result } = createRunner().run(scenario);
  return {
    scenario, scenarios: [scenario], ok: true,
    settings: [{ key: 'controller.base', text: '−20 °C: 75', unit: '%', why: 'because', brief: 'in short', provenBy: 'steady idle; free-rev', flag: null, tried: null }],
    drills: [{ name: title, standard: false, before: result, after: result }], corners: [{ name: 'inertia −20 %', stalls: [] }],
  };
}
const OPTIONS: SheetOptions = { title: 'a sheet', file: 'f.yaml', date: '2025-01-31', inputHash: 'abcdef', version: '0.1.0', fahrenheit: false, gainScale: { kp: null, ki: null, kd: null } };

describe('a sheet', () => {
  test('holds the tables, the order, what to watch, every caution, the assumptions, the date and the hash', async () => {
    const result = await resultFor('t');
    const pages = [sheetMarkdown(sheetOf(result, OPTIONS)).join('\n'), sheetHtml(sheetOf(result, OPTIONS)).join('\n')];
    for (const page of pages) {
      for (const part of ['base air, %', 'target, rpm', 'kp', 'if it differs', 'What the model takes for granted', '2025-01-31', 'abcdef', 'f.yaml']) expect(page).toContain(part);
      for (const caution of cautions()) expect(page).toContain(caution);
    }
  });

  test('says temperatures in °F and gains in the reader’s own numbers where asked', async () => {
    const result = await resultFor('t', 'controller: {pid: {kp: 0.02, ki: 0.03}}\n');
    const page = sheetMarkdown(sheetOf(result, { ...OPTIONS, fahrenheit: true, gainScale: { kp: null, ki: 200, kd: null } })).join('\n');
    expect(page).toMatch(/^\| coolant, °F \| −4 \|/m);
    expect(page).toMatch(/\| ki \| 6 \| × 200 of 0\.03 %\/\(rpm·s\) \|/);
    expect(page).toMatch(/\| kp \| 0\.02 \| %\/rpm \|/);
    expect(page).not.toContain('°C,');
  });

  test('counts in steps for a stepper', async () => {
    const result = await resultFor('t', 'valve: {kind: stepper}\n');
    const page = sheetMarkdown(sheetOf(result, OPTIONS)).join('\n');
    expect(page).toContain('base air, steps');
    expect(page).toContain('One step is worth');
  });

  test('points of one table between those of another lie on its line', async () => {
    const result = await resultFor('t', 'controller: {base: [[-20, 60], [20, 40], [80, 20]], target: [[0, 1200], [80, 800]]}\n');
    const page = sheetMarkdown(sheetOf(result, OPTIONS)).join('\n');
    expect(page).toContain('| coolant, °C | −20 | 0 | 20 | 80 | why | proven by |');
    expect(page).toContain('| base air, % | 60 | 50 | 40 | 20 | in short | steady idle +1 |');
    expect(page).toContain('| target, rpm | 1200 | 1200 | 1100 | 800 | as the file says | every drill |');
  });

  test('every number that is typed in has its few words of why and a drill', async () => {
    const result = await resultFor('t', 'controller: {loads: [{name: fan, air: 2}]}\n');
    const tables = sheetOf(result, OPTIONS).blocks.filter((block) => block.kind === 'table');
    const typed = tables.filter(({ heads }) => heads.at(-1) === 'proven by');
    expect(typed.map(({ heads }) => heads[0])).toEqual(['coolant, °C', 'intake air, °C', 'setting', 'load']);
    for (const { heads, rows } of typed) for (const row of rows) expect([row[0], row.length, row.at(-2) !== '', row.at(-1) !== '']).toEqual([row[0], heads.length, true, true]);
  });

  test('a drill that only the computed settings pass is marked, one that still fails shouts', async () => {
    const result = await resultFor('t');
    const [pair] = result.drills;
    const [bad, good] = [{ ...pair!.before, passes: false }, { ...pair!.after, passes: true }];
    const page = (before: typeof bad, after: typeof bad): string => sheetMarkdown(sheetOf({ ...result, drills: [{ ...pair!, before, after }] }, OPTIONS)).join('\n');
    expect(page(bad, good)).toMatch(/\| yes\\\* \|[\s\S]*yes\\\*: failed with the settings of the file/);
    expect(page(bad, bad)).toContain('| NO |');
    expect(page(good, good)).not.toContain('failed with');
  });

  test('tells first what is not finished', async () => {
    const result = await resultFor('t');
    const flagged: SetupResult = { ...result, ok: false, settings: [{ ...result.settings[0]!, flag: 'the valve runs out' }] };
    const lines = sheetMarkdown(sheetOf(flagged, OPTIONS));
    expect(lines.findIndex((line) => line.includes('Not finished'))).toBeLessThan(lines.findIndex((line) => line.includes('Type in')));
    expect(lines.join('\n')).toContain('- controller.base: the valve runs out');
    expect(setupVerdict(flagged)).toBe('Not done: 1 setting flagged (controller.base)');
  });
});

describe('a hostile title', () => {
  test('is inert in HTML', async () => {
    const html = sheetHtml(sheetOf(await resultFor(HOSTILE), { ...OPTIONS, title: HOSTILE, file: HOSTILE })).join('\n');
    const tags = [...html.matchAll(/<\/?([a-z0-9!]+)/gi)].map(([, tag]) => tag!.toLowerCase());
    const known = ['!doctype', 'html', 'head', 'meta', 'title', 'style', 'body', 'h1', 'h2', 'p', 'ul', 'li', 'section', 'div', 'table', 'thead', 'tbody', 'tr', 'th', 'td'];
    expect(tags.filter((tag) => !known.includes(tag))).toEqual([]);
    expect(html).not.toMatch(/<[^>]*\son\w+=/i);
    expect(html).not.toMatch(/\b(src|href)=["']/i);
    expect(html.includes('\u001b')).toBe(false);
    expect(html).toContain("default-src 'none'");
  });

  test('is inert in Markdown', async () => {
    const markdown = sheetMarkdown(sheetOf(await resultFor(HOSTILE), { ...OPTIONS, title: HOSTILE }));
    expect(markdown[0]).toMatch(/^# &lt;script&gt;/);
    expect(markdown.filter((line) => /(?<!\\)[<`*]|(?<!\\)\]\(|:\/\/|\u001b/.test(line.replace(/^\*\*.*\*\*$/, '')))).toEqual([]);
    expect(markdown.filter((line) => line.startsWith('# '))).toHaveLength(1);
  });

  test('any text keeps its place in a table', async () => {
    const result = await resultFor('t');
    await fc.assert(fc.asyncProperty(fc.string({ unit: 'binary', maxLength: 40 }), async (name) => {
      const sheet = sheetOf({ ...result, drills: [{ ...result.drills[0]!, name }] }, OPTIONS);
      const lines = sheetMarkdown(sheet);
      const row = lines[lines.findIndex((line) => line.includes('drill, simulated')) + 2]!;
      expect([...row.matchAll(/(?<!\\)\|/g)]).toHaveLength(13);
      expect(sheetHtml(sheet).join('')).not.toMatch(/<(script|img|iframe|a)\b/i);
    }), { numRuns: 60 });
  });
});

test('a controller written as a file loads as it was, whatever its loads are called', async () => {
  await fc.assert(fc.asyncProperty(fc.string({ unit: 'binary', minLength: 1, maxLength: 20 }).filter((s) => !/\p{Cs}/u.test(s)), fc.double({ min: 0, max: 50, noNaN: true }), async (name, air) => {
    const controller = fill(controllerTable, { loads: [{ name, air, speedUpRpm: 40, leadS: 0.3, cycleOffS: 12 }], hold: null, airFull: 100 });
    const text = controllerFile(controller, '%', [name]).join('\n');
    expect((await load({ 's.yaml': 'controller: {from: c.yaml}', 'c.yaml': text })).controller).toEqual(controller);
  }), { numRuns: 60 });
});

test('the page keeps within its columns', async () => {
  const result = await resultFor(HOSTILE);
  const tried = { heads: ['window, rpm', 'sag, rpm: a drill with a long name', 'passes'], rows: [['50', '120', 'yes']] };
  const page = setupPage({ ...result, settings: [{ ...result.settings[0]!, tried, flag: 'x '.repeat(90) }] }, { columns: 80, colour: false });
  expect(page.filter((line) => textWidth(line) > 80)).toEqual([]);
  expect(page.join('\n')).toContain('FLAGGED');
});
