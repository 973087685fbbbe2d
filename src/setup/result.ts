/** What `setup` gives back. */
import type { Scenario } from '../scenario/index.js';
import type { Scored } from '../score/index.js';

/** Figures behind a setting: what was tried, and what came of it. */
export interface Tried {
  readonly heads: readonly string[];
  readonly rows: readonly (readonly string[])[];
}

/** One setting, computed. */
export interface SetupRow {
  /** Key of the scenario, such as `controller.base`. */
  readonly key: string;
  /** The setting as it is to be typed in, without its unit. */
  readonly text: string;
  readonly unit: string;
  /** Where the number comes from, in a sentence. */
  readonly why: string;
  /** The same in a few words, for a sheet. */
  readonly brief: string;
  /** The drill that proves it. */
  readonly provenBy: string;
  /** What is wrong with it, or null: a row that is flagged must be looked at before anyone drives off. */
  readonly flag: string | null;
  readonly tried: Tried | null;
}

/** How a drill went. */
export interface DrillResult {
  readonly score: number;
  readonly passes: boolean;
  /** Whether it runs to its end with a margin above the stall, settled or not. */
  readonly safe: boolean;
  /** The number or the fact that decided, in words. */
  readonly verdict: string;
  readonly scored: Scored;
}

/** A drill under the settings of the file and under those computed. */
export interface DrillPair {
  readonly name: string;
  /** Whether the file brought it, or it is one of the standard ones. */
  readonly standard: boolean;
  readonly before: DrillResult;
  readonly after: DrillResult;
}

/** One thing changed on the engine, and whether the computed settings survive it. */
export interface Corner {
  /** `inertia −20 %`. */
  readonly name: string;
  /** Names of the drills in which the engine stalls, or never comes to run. */
  readonly stalls: readonly string[];
}

export interface SetupResult {
  /** The first scenario given, with the settings applied. */
  readonly scenario: Scenario;
  /** Every drill with the settings applied. */
  readonly scenarios: readonly Scenario[];
  readonly settings: readonly SetupRow[];
  readonly drills: readonly DrillPair[];
  readonly corners: readonly Corner[];
  /** Whether every drill passes, no corner stalls and no row is flagged. */
  readonly ok: boolean;
}
