/** Every file of the project that a page names is there. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';

const root = new URL('../../', import.meta.url);
const pages = [...readdirSync(new URL('docs', root)).filter((name) => name.endsWith('.md')).map((name) => `docs/${name}`), 'README.md', 'DEVELOPERS.md'];

/** Paths into tests/, src/, scenarios/ and docs/ as far as they are spelt out; a star stands for any part of a file's name. */
const NAMED = /(?<![\w./])(?:tests|src|scenarios|docs)\/[\w./*-]*[\w*/]/g;

/** Files that docs/library.md has its reader write. */
const TO_WRITE = ['src/plant/laws/mixed-film.ts', 'src/plant/valves/rotary.ts'];

function isThere(path: string): boolean {
  if (!path.includes('*')) return existsSync(new URL(path, root));
  const at = path.lastIndexOf('/');
  const name = new RegExp(`^${path.slice(at + 1).replaceAll('.', '\\.').replaceAll('*', '.*')}$`);
  return readdirSync(new URL(path.slice(0, at + 1), root)).some((file) => name.test(file));
}

test.each(pages)('%s names no file that is not there', (page) => {
  const named = new Set(readFileSync(new URL(page, root), 'utf8').match(NAMED));
  expect([...named].filter((path) => !TO_WRITE.includes(path) && !isThere(path))).toEqual([]);
});

test('a name that is not there is noticed, and one with a star is looked up', () => {
  expect(isThere('tests/published/nobody.test.ts')).toBe(false);
  expect(isThere('tests/linear/idle-*.test.ts')).toBe(true);
  expect(isThere('tests/linear/nobody-*.test.ts')).toBe(false);
});
