/** The confusion table: every fault in every engine at every severity and seed, and healthy recordings; and its page. */
import type { Cause } from '../../../src/identify/diagnose/index.js';
import { diagnoseCase, rateOf, roughnessOf, SEVERITIES, type Severity, severityOf } from './cases.js';
import { DRILLS, type DrillName } from './drills.js';
import { type EngineName, ENGINES, type Healthy, healthy } from './engines.js';
import { type Fault, FAULTS, SENSOR_FAULTS } from './faults.js';

export const ALL_FAULTS: readonly Fault[] = [...FAULTS, ...SENSOR_FAULTS];

export interface Outcome {
  readonly engine: EngineName;
  readonly fault: string | null;
  readonly severity: number;
  readonly seed: number;
  readonly expected: Cause | null;
  readonly named: readonly Cause[];
  readonly evidence: readonly string[];
}

export interface Calibration extends Severity {
  readonly engine: EngineName;
  readonly fault: string;
  readonly severity: number;
}

export interface Choice {
  readonly engines?: readonly EngineName[];
  readonly faults?: readonly Fault[];
  readonly severities?: readonly number[];
  readonly seeds?: readonly number[];
  readonly healthySeeds?: readonly number[];
  /** How far each fault must be moved, where that is known. */
  readonly known?: readonly Calibration[];
}

export interface Table {
  readonly outcomes: readonly Outcome[];
  readonly calibrations: readonly Calibration[];
}

async function calibrated(h: Healthy, fault: Fault, severity: number, known: readonly Calibration[]): Promise<Calibration> {
  const found = known.find((c) => c.engine === h.name && c.fault === fault.name && c.severity === severity);
  return found ?? { engine: h.name, fault: fault.name, severity, ...(await severityOf(h, fault, SEVERITIES[severity] as number)) };
}

export async function confusion(choice: Choice = {}, tell: (line: string) => void = () => undefined): Promise<Table> {
  const { engines = ENGINES, faults = ALL_FAULTS, severities = [0, 1, 2], seeds = [0, 1, 2, 3, 4], healthySeeds = [...Array(15).keys()], known = [] } = choice;
  const outcomes: Outcome[] = [];
  const calibrations: Calibration[] = [];
  for (const engine of engines) {
    const h = await healthy(engine);
    const add = async (fault: Fault | null, drill: DrillName, x: number, severity: number, seed: number): Promise<void> => {
      const { findings } = await diagnoseCase(h, { fault, drill, x, severity, seed });
      const outcome = { engine, fault: fault?.name ?? null, severity, seed, expected: fault?.cause ?? null, named: findings.map(({ cause }) => cause), evidence: findings[0]?.evidence ?? [] };
      outcomes.push(outcome);
      if ((outcome.named[0] ?? null) !== outcome.expected) tell(`${engine} ${fault?.name ?? `healthy ${drill}`} ${severity} ${seed}: ${outcome.named.join(', ') || 'nothing'} — ${outcome.evidence.join('; ')}`);
    };
    for (const drill of Object.keys(DRILLS) as DrillName[]) for (const seed of healthySeeds) await add(null, drill, 0, 0, seed);
    for (const fault of faults) {
      for (const severity of severities) {
        const calibration = await calibrated(h, fault, severity, known);
        calibrations.push(calibration);
        for (const seed of seeds) await add(fault, fault.drill, calibration.x, severity, seed);
      }
    }
  }
  return { outcomes, calibrations };
}

const share = (part: number, whole: number): string => `${part}/${whole}`;

/** Share of faults named first, named at all, and of healthy recordings with a finding. */
export function summary(outcomes: readonly Outcome[]): { readonly cases: number; readonly first: number; readonly named: number; readonly healthy: number; readonly alarms: number } {
  const faulty = outcomes.filter(({ expected }) => expected !== null);
  const sound = outcomes.filter(({ expected }) => expected === null);
  return {
    cases: faulty.length,
    first: faulty.filter(({ expected, named }) => named[0] === expected).length,
    named: faulty.filter(({ expected, named }) => named.includes(expected as Cause)).length,
    healthy: sound.length, alarms: sound.filter(({ named }) => named.length > 0).length,
  };
}

/** The table as Markdown. */
export function page({ outcomes, calibrations }: Table): string {
  const lines = ['| fault planted | cause | named first, by severity | at all | named first instead |', '| --- | --- | --- | --- | --- |'];
  for (const fault of ALL_FAULTS) {
    const own = outcomes.filter((o) => o.fault === fault.name);
    if (own.length === 0) continue;
    const bySeverity = [0, 1, 2].map((s) => own.filter((o) => o.severity === s)).map((list) => share(list.filter((o) => o.named[0] === fault.cause).length, list.length));
    const missed = own.filter((o) => o.named[0] !== fault.cause).map((o) => o.named[0] ?? 'nothing');
    const counts = [...new Set(missed)].map((name) => `${name} ${missed.filter((m) => m === name).length}`);
    lines.push(`| ${fault.name} | \`${fault.cause}\` | ${bySeverity.join(' · ')} | ${share(own.filter((o) => o.named.includes(fault.cause)).length, own.length)} | ${counts.join(', ') || '–'} |`);
  }
  const { cases, first, named, healthy: sound, alarms } = summary(outcomes);
  const percent = (a: number, b: number): string => `${((100 * a) / b).toFixed(1)} %`;
  const short = calibrations.filter(({ times }) => times < 1.2);
  return [
    ...lines, '',
    `Named first: ${first} of ${cases} (${percent(first, cases)}); named at all: ${named} (${percent(named, cases)}). Healthy recordings with a finding: ${alarms} of ${sound} (${percent(alarms, sound)}).`,
    ...(short.length === 0 ? [] : [`Not broken by a fifth, because the fault cannot be made worse in that engine: ${short.map(({ engine, fault, severity, times }) => `${fault} in the ${engine} (${severity}: ${times.toFixed(2)} times)`).join('; ')}.`]),
    `Roughness ${[0, 1, 2, 3, 4].map((s) => `${roughnessOf(s)} %`).join(', ')} and rows at ${[0, 1, 2, 3, 4].map((s) => `${rateOf(s)}`).join(', ')} Hz by seed.`,
  ].join('\n');
}
