/** A small part of the confusion table; `npm run confusion` makes the whole and writes docs/diagnose.md. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { simulate } from '../../src/loop/simulate.js';
import { diagnoseCase, scenarioOf, SEVERITIES } from './confusion/cases.js';
import type { DrillName } from './confusion/drills.js';
import { healthy } from './confusion/engines.js';
import { ALL_FAULTS, type Calibration, confusion, summary } from './confusion/table.js';

const known = JSON.parse(readFileSync(new URL('./confusion/severities.json', import.meta.url), 'utf8')) as Calibration[];

describe('the confusion table', () => {
  test('names most faults first in two engines, and raises no alarm on healthy ones', async () => {
    const { outcomes } = await confusion({ engines: ['four', 'six'], severities: [2], seeds: [0], healthySeeds: [0], known });
    const { cases, first, alarms } = summary(outcomes);
    expect(cases).toBe(2 * ALL_FAULTS.length);
    expect(first / cases).toBeGreaterThanOrEqual(0.9);
    expect(alarms).toBe(0);
  });

  test('severities kept beside the table still break their limits', async () => {
    const h = await healthy('six');
    for (const fault of ALL_FAULTS.filter(({ limit, rough }, i) => limit > 0 && rough === undefined && i % 3 === 0)) {
      const kept = known.find((c) => c.engine === 'six' && c.fault === fault.name && c.severity === 0);
      const times = fault.measure(simulate(await scenarioOf(h, fault.drill, fault, kept?.x ?? 0)), h) / fault.limit;
      expect(times, fault.name).toBeGreaterThan((SEVERITIES[0] as number) * 0.97);
    }
  });

  test('finds a fault under other settings of the drill than the table was made with', async () => {
    const h = await healthy('four');
    const other = { ...h, torque: h.torque * 1.25 };
    for (const [name, drill] of [['load air too small', 'loads'], ['loop held open', 'loads'], ['spark rate too large', 'steady']] as const) {
      const fault = ALL_FAULTS.find((f) => f.name === name)!;
      const x = known.find((c) => c.engine === 'four' && c.fault === name && c.severity === 1)?.x ?? 1;
      const { findings } = await diagnoseCase(other, { fault, drill: drill as DrillName, x, severity: 1, seed: 7 });
      expect(findings[0]?.cause, name).toBe(fault.cause);
    }
  });
});
