/** One case: a fault in an engine at a severity, recorded; and what is found. */
import { diagnose, type Diagnosis, type Recording } from '../../../src/identify/diagnose/index.js';
import { simulate } from '../../../src/loop/simulate.js';
import type { Scenario } from '../../../src/scenario/index.js';
import { recorded } from './degrade.js';
import { DRILLS, type DrillName } from './drills.js';
import type { Healthy } from './engines.js';
import type { Fault } from './faults.js';

/** Times its limit that a fault breaks it. */
export const SEVERITIES = [1.2, 1.6, 2.2] as const;

const fill = (text: string, healthy: Healthy): string => text.replace(/LOAD\*([\d.e-]+)/g, (_, factor: string) => String(healthy.loadAir * Number(factor)));

/** The scenario of a fault, or the healthy one. */
export function scenarioOf(healthy: Healthy, drill: DrillName, fault: Fault | null, x: number, shift = 0): Promise<Scenario> {
  return healthy.make(DRILLS[drill](healthy, shift), fault === null ? '' : fill(fault.set(healthy, x), healthy), fault?.steps?.(healthy, x) ?? null);
}

const roughened = (scenario: Scenario, roughnessPct: number, seed: number): Scenario =>
  ({ ...scenario, engine: { ...scenario.engine, roughnessPct }, run: { ...scenario.run, seed } }) as Scenario;

export interface Severity {
  readonly x: number;
  /** What was measured over the limit. */
  readonly times: number;
}

/** How far a fault must be moved so that its limit is broken so many times over; the nearest there is. */
export async function severityOf(healthy: Healthy, fault: Fault, times: number, steps = 9): Promise<Severity> {
  if (fault.limit === 0) return { x: SEVERITIES.indexOf(times as 1.2), times };
  const at = async (x: number): Promise<number> => {
    const runs = fault.rough === undefined ? [await scenarioOf(healthy, fault.drill, fault, x)]
      : await Promise.all([0, 1, 2, 3, 4].map(async (seed) => roughened(await scenarioOf(healthy, fault.drill, fault, x, shiftOf(seed)), roughnessOf(seed), seed + 1)));
    return Math.min(...runs.map((run) => fault.measure(simulate(run), healthy))) / fault.limit;
  };
  let [low, high] = [0, 1];
  let best: Severity = { x: 1, times: await at(1) };
  if (best.times <= times) return best;
  for (let i = 0; i < steps; i++) {
    const x = (low + high) / 2;
    const reached = await at(x);
    if (reached >= times) [high, best] = [x, { x, times: reached }];
    else low = x;
    if (reached >= times && reached < times * 1.06) break;
  }
  return best;
}

export interface Case {
  readonly fault: Fault | null;
  readonly drill: DrillName;
  readonly x: number;
  readonly severity: number;
  readonly seed: number;
}

/** Roughness of the case, %, and its recorder's rate: by the seed. */
export const roughnessOf = (seed: number): number => [3, 4, 5, 6, 4][seed % 5] as number;
export const shiftOf = (seed: number): number => (seed * 0.37) % 1.5;
export const rateOf = (seed: number): number => (seed % 2 === 0 ? 20 : 10);

export async function recordingOf(healthy: Healthy, { fault, drill, x, severity, seed }: Case): Promise<Recording> {
  const scenario = await scenarioOf(healthy, drill, fault?.spoil === undefined ? fault : null, x, shiftOf(seed));
  const rough = roughened(scenario, roughnessOf(seed), seed + 1);
  const recording = recorded(simulate(rough), rough, { hz: rateOf(seed), seed });
  return fault?.spoil?.(recording, severity, seed) ?? recording;
}

export const diagnoseCase = async (healthy: Healthy, each: Case): Promise<Diagnosis> => diagnose(await recordingOf(healthy, each));
