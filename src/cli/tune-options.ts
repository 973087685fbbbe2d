/** What `tickover tune` is told: terms, limits, uncertainty, further settings. All problems are told together. */
import { formatProblem, numericKeys, type Scenario } from '../scenario/index.js';
import { nearestName } from '../scenario/problem.js';
import { type Range, readRanges } from '../search/sampling/index.js';
import type { Variable, TuneTerms } from '../search/tune/space.js';
import type { TuneOptions } from '../search/tune/tune.js';
import { BadInput } from './failure.js';

export interface TuneCommand {
  readonly set: readonly string[];
  readonly uncertainty?: readonly string[];
  readonly with?: readonly string[];
  readonly terms?: string;
  readonly airOnly?: boolean;
  readonly ms: number;
  readonly msCorner: number;
  readonly settling: number;
  readonly hunting: number;
  readonly budget: number;
  readonly jobs: number;
  readonly seed: number;
  readonly gainScale?: string;
  readonly out?: string;
  readonly json?: boolean;
}

/** Ranges that further settings take when none is said, of what they are now; from what is worth trying where they are 0. */
const HALF_TO_DOUBLE = [0.5, 2] as const;
const AIR_FROM_NONE = 0.1;

type Asked = Pick<TuneOptions, 'terms' | 'airOnly' | 'uncertain' | 'further' | 'limits' | 'budgetS' | 'seed'>;

/** @throws BadInput */
export function readTune(options: TuneCommand, scenarios: readonly Scenario[]): Asked {
  const problems: string[] = [];
  const { terms } = options;
  if (terms !== undefined && !['i', 'pi', 'pid'].includes(terms)) problems.push(`--terms ${terms}: i, pi or pid is wanted`);
  const none = options.uncertainty?.length === 1 && options.uncertainty[0] === 'none';
  const uncertain = none ? null : ranges('--uncertainty', options.uncertainty ?? [], scenarios, problems);
  const inside = (key: string): boolean => /^(engine|valve)\./.test(key);
  for (const { key } of uncertain ?? []) if (!inside(key)) problems.push(`--uncertainty  ${key}: is no matter of the engine or its valve; what the controller does is known`);
  const further = (options.with ?? []).flatMap((text) => text.split(',')).flatMap((text) => furtherOf(text, scenarios, problems));
  const above = (name: string, value: number, least: number): void => {
    if (!(value > least)) problems.push(`${name} ${value}: a number above ${least} is wanted`);
  };
  above('--ms', options.ms, 1);
  above('--ms-corner', options.msCorner, 1);
  above('--settling', options.settling, 0);
  above('--hunting', options.hunting, 0);
  if (problems.length > 0) throw new BadInput([...problems, 'nothing was tuned']);
  return {
    terms: (terms as TuneTerms | undefined) ?? null, airOnly: options.airOnly === true, uncertain, further,
    limits: { msNominal: options.ms, msCorner: options.msCorner, settlingS: options.settling, huntingRpm: options.hunting }, budgetS: options.budget, seed: options.seed,
  };
}

function ranges(option: string, texts: readonly string[], scenarios: readonly Scenario[], problems: string[]): readonly Range[] {
  if (texts.length === 0) return [];
  const read = readRanges(texts, scenarios);
  problems.push(...read.problems.map((problem) => formatProblem({ ...problem, file: option })));
  return read.ranges ?? [];
}

/** `entry.window`, or with its range: `controller.entry.window=80:300`. */
function furtherOf(text: string, scenarios: readonly Scenario[], problems: string[]): readonly Variable[] {
  const [name = '', range] = text.trim().split('=');
  const key = name.startsWith('controller.') ? name : `controller.${name}`;
  const tunable = numericKeys(scenarios[0] as Scenario).filter(({ path }) => /^controller\.(entry|openAir|spark|pid)\.[a-zA-Z]+$/.test(path));
  const known = tunable.find(({ path }) => path === key);
  if (known === undefined) {
    const near = nearestName(key, tunable.map(({ path }) => path));
    problems.push(`--with  ${name}: no number of the controller’s entry, open-loop air, spark or PID${near === null ? '' : `; did you mean ${near.replace('controller.', '')}?`}`);
    return [];
  }
  if (/\.(kp|ki|kd|rate|deadBand)$/.test(key)) {
    problems.push(`--with  ${name}: is tuned as it is; --terms says which gains`);
    return [];
  }
  if (range !== undefined) {
    const [read] = ranges('--with', [`${key}=${range}`], scenarios, problems);
    return read === undefined ? [] : [{ key, unit: known.unit, least: read.lo, most: read.hi, square: false }];
  }
  const [least, most] = known.value === null || known.value === 0 ? [known.min, known.min + AIR_FROM_NONE * (known.max - known.min)] : HALF_TO_DOUBLE.map((factor) => factor * (known.value as number));
  return [{ key, unit: known.unit, least: Math.max(known.min, least as number), most: Math.min(known.max, most as number), square: false }];
}
