/** A sweep on a page: what is drawn of very many cells, and the map and the front in a browser. */
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { sweepForPage, sweepPart } from '../../src/report/page-sweep.js';
import type { Axis, CellMap, Front, SweepRow } from '../../src/search/index.js';
import { OBJECTIVES } from '../../src/search/index.js';
import { tickover } from '../cli/tickover.js';
import { barriers, inBrowser, pages } from './browser.js';
import { root } from './scenarios.js';

const axis = (key: string, n: number): Axis => ({ key, unit: '', spacing: 'linear', values: Array.from({ length: n }, (_, i) => i) });

describe('a sweep of a million cells', () => {
  const axes = [axis('a', 1000), axis('b', 1000)];
  const map: CellMap = {
    mark: (index) => (index === 123_456 ? 'held' : index < 500_000 ? 'missed' : 'stalled'),
    score: (index) => (index === 123_456 ? 0.5 : 10 + (index % 7)),
  };
  const row = (index: number): SweepRow => ({ index, values: [index, index], score: 1, reason: null, stalled: false, stallTimeS: null, missed: [], sagRpm: index, flareRpm: 1, settlingTimeS: 1, stallMarginRpm: index, huntingRpm: 0, reasons: {} });
  const objectives = [OBJECTIVES.find(({ option }) => option === 'sag')!, OBJECTIVES.find(({ option }) => option === 'stall-margin')!] as const;
  const front: Front = { objectives, front: Array.from({ length: 900 }, (_, i) => row(i)), others: Array.from({ length: 4000 }, (_, i) => row(1000 + i)) };
  const sweep = sweepForPage({ name: 'many', axes, cells: 1_000_000, map, front });

  test('is thinned to what can be drawn, the best of each block kept, and says so', () => {
    const { rows, by } = sweep.map!;
    expect(by).toEqual([9, 9]);
    expect([rows.length, rows[0]!.length]).toEqual([112, 112]);
    const held = rows.flatMap((each, j) => each.flatMap((cell, i) => (cell === 0.5 ? [[i, j]] : [])));
    expect(held).toEqual([[Math.floor(123 / 9), Math.floor(456 / 9)]]);
    expect([rows[0]![0], rows[1]![0]]).toEqual([{ missed: 10 }, { missed: 10 }]); // the second block begins with a worse one
    expect(rows[0]![111]).toBe('stalled');
    expect(JSON.stringify(sweep).length).toBeLessThan(400_000);
    const text = sweepPart([sweep]).body;
    expect(text).toMatch(/each square stands for 9 × 9 cells and shows the best of them/);
    expect(text).toMatch(/300 of the 900 settings on the front|301 of the 900 settings on the front/);
    expect(text).toMatch(/of the 999100 other cells/);
  });

  test('says nothing of a thinned front where there is none', () => {
    const none = sweepForPage({ name: 'many', axes, cells: 1_000_000, map, front: { ...front, front: [] } });
    expect(none.front!.thinned).toBeNull();
  });

  test('keeps both ends of a front', () => {
    const { points } = sweep.front!;
    expect([points[0]!.x, points.at(-1)!.x]).toEqual([0, 899]);
  });
});

test('a sweep of one setting has no map and says why', () => {
  const text = sweepPart([sweepForPage({ name: '<b>', axes: [axis('a', 4)], cells: 4, map: null, front: null })]).body;
  expect(text).toMatch(/A map needs a grid of exactly two settings/);
  expect(text).not.toContain('<b>');
});

describe('in a browser', () => {
  const { make, open, folder } = pages();
  inBrowser('map and front are drawn, read by arrow keys and by a pointer', async () => {
    const store = join(folder(), 'sweep.store');
    const { code } = await tickover(['sweep', join(root, 'scenarios/solenoid.yaml'), '--vary', 'controller.pid.kp=0.005,0.02,0.5', '--vary', 'controller.pid.ki=0.01,0.03', '--out', store]);
    expect(code).toBeLessThan(2);
    const { page, wrong } = await open(await make(store));
    await page.locator('.squares').focus();
    await page.keyboard.press('ArrowRight');
    expect(await page.locator('.said').textContent()).toMatch(/pid kp 0\.02 %\/rpm, pid ki 0\.01 %\/\(rpm s\): (score|misses)/);
    await page.keyboard.press('ArrowUp');
    expect(await page.locator('.said').textContent()).toMatch(/pid ki 0\.03/);
    const canvas = page.locator('.squares canvas');
    const box = (await canvas.boundingBox())!;
    await canvas.hover({ position: { x: box.width - 4, y: box.height - 4 } });
    expect(await page.locator('.said').textContent()).toMatch(/pid kp 0\.5 %\/rpm, pid ki 0\.01/);
    expect(await page.locator('.front svg circle.point').count()).toBeGreaterThan(0);
    await page.locator('.front summary').press('Enter');
    expect(await page.locator('.front tbody tr').count()).toBeGreaterThan(0);
    expect(await barriers(page)).toEqual([]);
    expect(wrong).toEqual([]);
  });
});
