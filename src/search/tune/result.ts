/** What tuning comes to. Plain data. */
import type { IdleMargins } from '../../linear/idle.js';
import type { Answer } from './answers.js';
import type { Judged, TuneLimits } from './referee.js';
import type { TuneRange } from './ranges.js';
import type { RuleRow } from './rule-rows.js';
import type { TuneTerms, Variable } from './space.js';

/** A set of gains, proven on every drill and corner unless it says otherwise. */
export interface Proven {
  readonly judged: Judged;
  /** Whether every drill was run on every corner; else on those searched on. */
  readonly everywhere: boolean;
}

/** What tuning of one choice of actuators found. */
export interface TuneStage {
  /** Null where every set tried stalls; then `closest` tells. */
  readonly best: Proven | null;
  readonly closest: Judged | null;
  /** Complete sets on the runs searched on, best first. */
  readonly found: readonly Judged[];
  readonly variables: readonly Variable[];
}

/** Where the spark rate beside a rule comes from: the file, SIMC on the crank as an integrator, or the tuned answer. */
export type RateFrom = 'this file' | 'SIMC' | 'tuned';

/** A rule on the same engines and drills. */
export interface RuleStanding {
  readonly row: RuleRow;
  /** Spark rate beside it, deg/rpm. */
  readonly rate: number;
  readonly rateFrom: RateFrom;
  /** Null where it does not apply. */
  readonly judged: Judged | null;
}

export interface TuneResult {
  readonly terms: TuneTerms;
  readonly stepper: boolean;
  readonly limits: TuneLimits;
  readonly keys: readonly string[];
  readonly units: readonly string[];
  readonly drills: readonly string[];
  /** Drills whose settling counts for the limit. */
  readonly settles: readonly boolean[];
  readonly corners: readonly string[];
  /** The file's own settings, every run made. */
  readonly before: Judged | null;
  readonly air: TuneStage;
  readonly spark: TuneStage | null;
  /** Why spark is not tuned, where it is not. */
  readonly noSpark: string | null;
  /** Which of the two is the answer. */
  readonly answer: 'air' | 'spark';
  /** Rules with each spark rate that the same actuators allow. */
  readonly rules: readonly RuleStanding[];
  readonly ranges: readonly TuneRange[] | null;
  /** The best on integral alone, same actuators, and the answer, both on the runs searched on; null where not looked at. */
  readonly integralOnly: { readonly judged: Judged | null; readonly beside: Judged } | null;
  readonly answers: readonly Answer[];
  readonly margins: { readonly before: IdleMargins; readonly after: IdleMargins | null; readonly withoutSpark: IdleMargins | null };
  /** Worst largest sensitivity of the corners, of the answer's air gains with the trim off; Infinity where unstable, null without a trim. */
  readonly msWithoutSpark: number | null;
  /** Runs searched on, of all. */
  readonly searched: { readonly corners: readonly number[]; readonly drills: readonly number[] };
  readonly spent: { readonly simulatedS: number; readonly runs: number; readonly sets: number };
  readonly interrupted: boolean;
}

/** The answer's stage. */
export const stageOf = ({ answer, air, spark }: Pick<TuneResult, 'answer' | 'air' | 'spark'>): TuneStage => (answer === 'spark' && spark !== null ? spark : air);
