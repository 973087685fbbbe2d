/**
 * Ten loops against GNU Octave's control package: data/octave-margins.json, written by make/margins.m. They are what the ten
 * of loops.json are not: conditionally stable, unstable in the open, lightly damped, with a zero on the right, with two
 * integrators, biproper.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type Margins, marginsOf } from '../../src/linear/margins.js';
import { closedLoopPoles, grows, polesOf, transfer } from '../../src/linear/transfer.js';

interface Reference {
  readonly name: string;
  readonly numerator: readonly number[];
  readonly denominator: readonly number[];
  readonly periodS: number | null;
  readonly openUnstable: number;
  readonly closedUnstable: number;
  readonly gainMargin: number | null;
  readonly gainMarginAt: number | null;
  readonly phaseMarginDeg: number;
  readonly crossover: number;
  readonly ms: number;
  readonly msAt: number;
  readonly mt: number;
  readonly mtAt: number;
}
const references = JSON.parse(readFileSync(new URL('data/octave-margins.json', import.meta.url), 'utf8')) as readonly Reference[];

function near(found: number | null, wanted: number, relative = 2e-6): void {
  expect(found).not.toBeNull();
  expect(Math.abs((found as number) / wanted - 1)).toBeLessThan(relative);
}

describe('as GNU Octave finds them', () => {
  it('there are ten', () => expect(references).toHaveLength(10));

  it.each(references.map((reference) => [reference.name, reference] as const))('%s', (_, reference) => {
    const { periodS, openUnstable } = reference;
    const loop = transfer(reference.numerator, reference.denominator, { periodS });
    expect(polesOf(loop).filter((pole) => grows(pole, periodS, 1e-6))).toHaveLength(openUnstable);
    expect(closedLoopPoles(loop).filter((pole) => grows(pole, periodS, 1e-6))).toHaveLength(reference.closedUnstable);
    const found: Margins = marginsOf(loop, { openLoopUnstablePoles: openUnstable });
    expect(found.unstablePoles).toBe(reference.closedUnstable);
    near(found.crossover, reference.crossover);
    near(found.phaseMarginDeg, reference.phaseMarginDeg);
    near(found.ms, reference.ms);
    near(found.mt, reference.mt);
    // Where the peak is only tended to, Octave gives the end of its grid.
    if (found.msAt !== Infinity) near(found.msAt, reference.msAt, 1e-5);
    if (found.mtAt !== 0) near(found.mtAt, reference.mtAt, 1e-5);
    if (reference.gainMargin === null) expect(found.gainMargin).toBeNull();
    else if (reference.gainMargin > 1) {
      near(found.gainMargin, reference.gainMargin);
      near(found.gainMarginAt, reference.gainMarginAt as number);
    } else {
      // A conditionally stable loop: Octave's one margin is ours to lower the gain.
      near(found.gainReduction, reference.gainMargin);
      near(found.gainReductionAt, reference.gainMarginAt as number);
      expect(found.gainMargin).toBeNull();
    }
  });
});
