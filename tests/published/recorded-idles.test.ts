/**
 * The table of docs/verification.md that puts ours beside recorded idles: each number recomputed, each verdict as the range has
 * it, so that a change of the model that moves a row from inside to miss, or back, shows here.
 *
 * Sources, open recordings of real cars: eron93br/carOBD (IEEE document 8891367), sauprankul/obd2_data_analyzer (MIT; its
 * displacement is inferred), AndrewCloete/pyobd. The recordings are no part of this project. Ranges, not targets.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { fanRows, type RecordedRow, riseRows, secondRows, startRows, warmRows } from './recorded-rows.js';

const page = readFileSync(new URL('../../docs/verification.md', import.meta.url), 'utf8');
const section = page.slice(page.indexOf('## Recorded idles'), page.indexOf('Misses, and why'));
const printed = new Map(
  section.split('\n').filter((line) => /^\| (A|B)/.test(line)).map((line) => {
    const [name, recorded, ours, verdict] = line.split('|').slice(1, -1).map((cell) => cell.trim());
    return [name!, { recorded: recorded!, ours: ours!, verdict: verdict! }] as const;
  }),
);

/** Worked out once: two tests read it. */
let rise: Promise<readonly RecordedRow[]> | undefined;
const riseOnce = (): Promise<readonly RecordedRow[]> => (rise ??= riseRows());

const PARTS = [['warm', warmRows], ['starts', startRows], ['coolant', riseOnce], ['the fan', fanRows], ['the second car', secondRows]] as const;
const seen: string[] = [];

describe.each(PARTS)('beside recorded idles, %s:', (_, rowsOf) => {
  test('the page prints what the code gives, and whether that is inside', async () => {
    for (const { name, recorded, ours, digits, low, high } of (await rowsOf()) as readonly RecordedRow[]) {
      seen.push(name);
      const text = ours.toFixed(digits);
      const inside = Number(text) >= low && Number(text) <= high;
      expect({ name, ...printed.get(name) }).toEqual({ name, recorded, ours: text.replace('-', '−'), verdict: inside ? 'inside' : 'miss' });
    }
  });
});

test('docs/model.md prints the same fit of the warm-up', async () => {
  const model = readFileSync(new URL('../../docs/model.md', import.meta.url), 'utf8');
  const fit = (await riseOnce()).filter(({ name }) => name.includes('bare')).map(({ ours }) => ours.toFixed(1));
  expect(fit).toHaveLength(5);
  expect(model).toContain(`| computed | ${fit.join(' | ')} |`);
});

test('the page prints no other row, and says how many are misses', () => {
  expect([...printed.keys()].sort()).toEqual([...seen].sort());
  const misses = [...printed.values()].filter(({ verdict }) => verdict === 'miss').length;
  expect(page.replaceAll('\n', ' ')).toContain(`Of ${printed.size} rows ${misses} are misses`);
});
