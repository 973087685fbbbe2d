/** The pictures of README.md and docs: small, without anything that acts, each on a page. Whether they are up to date: generated.test.ts. */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { root } from '../cli/tickover.js';

const names = readdirSync(`${root}/docs/pictures`);
const pages = ['README.md', ...readdirSync(`${root}/docs`).filter((name) => name.endsWith('.md')).map((name) => `docs/${name}`)].map((page) => readFileSync(`${root}/${page}`, 'utf8')).join('\n');

test('there are some', () => {
  expect(names.length).toBeGreaterThanOrEqual(5);
});

describe.each(names)('%s', (name) => {
  const text = readFileSync(`${root}/docs/pictures/${name}`, 'utf8');

  test('is an SVG under 40 kB that asks for nothing and runs nothing', () => {
    expect(text).toMatch(/^<svg [^>]*role="img"[^>]*><title>[^<]+<\/title><desc>[^<]+<\/desc>/);
    expect(Buffer.byteLength(text)).toBeLessThan(40_000);
    expect(text).not.toMatch(/<script|<image|<foreignObject| on\w+=|href=|url\(|@import|data:/);
  });

  test('has its own paper for light and for dark, and the caution', () => {
    expect(text).toMatch(/<rect class="paper"/);
    expect(text).toMatch(/prefers-color-scheme:dark/);
    expect(text).toMatch(/brake on\.<\/text><\/svg>\n$/);
  });

  test('is on a page, with words for those who do not see it', () => {
    expect(pages).toMatch(new RegExp(`!\\[[^\\n]{20,}\\]\\((docs/)?pictures/${name.replace('.', '\\.')}\\)`));
  });
});
