/**
 * Margins and sensitivity peaks of ten loops to 1e-6. Their values, in data/loops.json, were worked out twice outside this
 * project: by root finding in 30-digit arithmetic (mpmath), and in GNU Octave with its control package, or by its own root
 * and minimum search where there is a delay.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { marginsOf } from '../../src/linear/margins.js';
import { LOOPS, delayedBy } from './loops.js';
import { times } from '../../src/linear/transfer.js';

interface Reference {
  readonly loop: string;
  readonly definition: string;
  readonly wgc: string;
  readonly PM_deg: string;
  readonly wpc: string;
  readonly GM: string;
  readonly DM_s: string;
  readonly Ms: string;
  readonly w_Ms: string;
  readonly Mt: string;
}
const references = JSON.parse(readFileSync(new URL('data/loops.json', import.meta.url), 'utf8')) as readonly Reference[];

const expectNear = (found: number | null, wanted: string | number, relative = 1e-6): void => {
  expect(found).not.toBeNull();
  expect(Math.abs((found as number) / Number.parseFloat(String(wanted)) - 1)).toBeLessThan(relative);
};

describe('the ten loops of data/loops.json', () => {
  it('are all here', () => {
    expect(references.map(({ loop }) => loop)).toEqual(Object.keys(LOOPS));
  });

  it.each(references.map((reference) => [reference.loop, reference] as const))('%s', (name, reference) => {
    const loop = LOOPS[name] as (typeof LOOPS)[string];
    const found = marginsOf(loop);
    expect(found.stable).toBe(true);
    expectNear(found.crossover, reference.wgc);
    expectNear(found.phaseMarginDeg, reference.PM_deg);
    expectNear(found.delayMarginS, reference.DM_s);
    expectNear(found.ms, reference.Ms);
    expectNear(found.msAt, reference.w_Ms);
    expectNear(found.mt, reference.Mt);
    if (reference.GM === 'inf') {
      expect(found.gainMargin).toBeNull();
      expect(found.reasons.gainMargin).toMatch(/never reaches/);
    } else {
      expectNear(found.gainMargin, reference.GM);
      expectNear(found.gainMarginAt, reference.wpc);
      // the verdict turns where the margin says
      expect(marginsOf(times((found.gainMargin as number) * 0.999, loop)).stable).toBe(true);
      expect(marginsOf(times((found.gainMargin as number) * 1.001, loop)).stable).toBe(false);
    }
    expect(marginsOf(delayedBy(loop, (found.delayMarginS as number) * 0.999)).stable).toBe(true);
    expect(marginsOf(delayedBy(loop, (found.delayMarginS as number) * 1.001)).stable).toBe(false);
  });

  it('agree with their closed forms', () => {
    const of = (name: string) => marginsOf(LOOPS[name] as (typeof LOOPS)[string]);
    expectNear(of('C1').gainMargin, Math.PI, 1e-12);
    expectNear(of('C1').phaseMarginDeg, 90 - 90 / Math.PI, 1e-12);
    expectNear(of('C1').delayMarginS, Math.PI - 1, 1e-12);
    expectNear(of('C3').gainMargin, 4 * Math.sqrt(5) - 4, 1e-11);
    expectNear(of('C5').crossover, Math.sqrt((Math.sqrt(5) - 1) / 2), 1e-12);
    expectNear(of('C5').ms, Math.sqrt((4 + 2 * Math.sqrt(3)) / (2 * Math.sqrt(3))), 1e-12);
    expectNear(of('C5').mt, 2 / Math.sqrt(3), 1e-12);
    expectNear(of('D9').gainMargin, (2 * Math.sin(Math.PI / 10)) / 0.3, 1e-12);
  });

  it('have their crossovers counted: three phase crossovers and more where there is a delay, one at half the sampling frequency', () => {
    expect(marginsOf(LOOPS.C1 as (typeof LOOPS)[string]).phaseCrossovers.length).toBeGreaterThan(3);
    const d8 = marginsOf(LOOPS.D8 as (typeof LOOPS)[string]);
    expect(d8.phaseCrossovers).toHaveLength(1);
    expect(d8.gainMarginAt).toBe(Math.PI / 0.1);
    expect(d8.msAt).toBe(Math.PI / 0.1);
  });
});
