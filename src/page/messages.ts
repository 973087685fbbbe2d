/** What the page and its workers say to each other. Plain data; columns go over without a copy. */
import type { DrillEvent } from '../loop/parameters.js';
import type { OpenStretch, TraceEvent } from '../loop/trace.js';
import type { Scenario } from '../scenario/table.js';
import type { WhyMissed } from '../score/why-missed.js';
import type { Frequency } from './frequency.js';
import type { Thinned } from './thin.js';

/** What the page asks for. Every question is answered by one answer of the same `id`. */
export type Question =
  | { readonly kind: 'run'; readonly id: number; readonly scenario: Scenario }
  | { readonly kind: 'frequency'; readonly id: number; readonly scenario: Scenario }
  | { readonly kind: 'start'; readonly id: number; readonly scenario: Scenario }
  | { readonly kind: 'change'; readonly id: number; readonly scenario: Scenario }
  | { readonly kind: 'press'; readonly id: number; readonly event: DrillEvent }
  | { readonly kind: 'advance'; readonly id: number; readonly seconds: number };

/** A whole run as it can be drawn. */
export interface DrawnRun {
  readonly drawn: Thinned;
  readonly rows: number;
  readonly airUnit: '%' | 'step';
  readonly airLimits: readonly [number, number];
  readonly events: readonly TraceEvent[];
  readonly open: readonly OpenStretch[];
  readonly endS: number;
  readonly stalled: boolean;
  readonly stallRpm: number;
  readonly bits: string;
  readonly verdict: string;
  /** Whether it stalled, or missed a limit of its scenario; where and why, read off its trace. */
  readonly failed: boolean;
  readonly why: readonly WhyMissed[];
  /** What each event came to, in words. */
  readonly told: readonly string[];
}

/** What a live run has come to since the last answer. */
export interface LiveStretch {
  readonly timeS: number;
  readonly rows: number;
  readonly columns: Readonly<Record<string, Float64Array>>;
  readonly events: readonly TraceEvent[];
  readonly open: readonly OpenStretch[];
  readonly stalled: string | null;
}

export type Answer =
  | { readonly kind: 'ran'; readonly id: number; readonly run: DrawnRun }
  | { readonly kind: 'frequency'; readonly id: number; readonly frequency: Frequency | string }
  | { readonly kind: 'live'; readonly id: number; readonly stretch: LiveStretch }
  /** What was asked cannot be; nothing has changed. */
  | { readonly kind: 'refused'; readonly id: number; readonly because: string };
