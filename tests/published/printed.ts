/** Holds the errors that docs/verification.md prints as seen to those that a test sees. */
import { readFileSync } from 'node:fs';
import { expect } from 'vitest';

const page = readFileSync(new URL('../../docs/verification.md', import.meta.url), 'utf8');

/** An error as the page prints it: two figures. */
export const shown = (error: number): string => error.toExponential(1);

/** @param row what the row of its table begins with  @param said what its last column must contain */
export function expectPrinted(row: string, said: string): void {
  const line = page.split('\n').find((text) => text.startsWith(`| ${row}`));
  expect(line, `a row that begins with ${row}`).toBeDefined();
  expect(line!.split('|').at(-2)).toContain(said);
}
