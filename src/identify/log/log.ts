/** What the reader gives: channels on their own time stamps, and a report of all that was found and done. */
import type { ChannelName } from './channels.js';

export interface Channel {
  readonly name: ChannelName;
  /** Unit of the values: the channel's own, or the log's where it has none; '' unknown. */
  readonly unit: string;
  /** Held between readings. */
  readonly switch: boolean;
  /** Times of readings, s since the first row, rising. */
  readonly timeS: Float64Array;
  readonly values: Float64Array;
  /** Period of true readings where rows repeat the last one, s. */
  readonly refreshS: number | null;
}

export interface ChannelReport {
  readonly name: ChannelName;
  /** The log's own name for it. */
  readonly column: string;
  /** Unit in the log, '' for none, and the unit its values were read in. */
  readonly unitGiven: string;
  readonly unitRead: string;
  readonly unit: string;
  /** Who said that this is the channel. */
  readonly by: 'given' | 'sure' | 'likely' | 'a guess';
  readonly samples: number;
  /** Cells without a reading. */
  readonly missing: number;
  /** Middle step between readings, s; null for one reading. */
  readonly periodS: number | null;
  readonly refreshS: number | null;
  readonly longestGapS: number;
  readonly lowest: number;
  readonly highest: number;
  readonly constant: boolean;
}

export interface Gap {
  readonly fromS: number;
  readonly toS: number;
}

export interface LogReport {
  readonly name: string;
  readonly form: 'one row a sample' | 'one row a reading';
  readonly encoding: string;
  readonly delimiter: string;
  readonly decimal: '.' | ',';
  /** Rows of data kept, lines in all. */
  readonly rows: number;
  readonly lines: number;
  readonly time: {
    readonly column: string;
    readonly how: string;
    /** Middle step between rows, s. */
    readonly periodS: number;
    /** Step of stamps that several rows share, s; null when each row has its own. */
    readonly coarseS: number | null;
    readonly duplicates: number;
    readonly conflicts: number;
    readonly backward: number;
    readonly stray: number;
    readonly unreadable: number;
    readonly jumps: readonly { readonly line: number; readonly at: number; readonly byS: number }[];
  };
  /** Rows further apart than the gap limit, in order. */
  readonly gaps: readonly Gap[];
  readonly channels: readonly ChannelReport[];
  /** Columns that are no channel. */
  readonly left: readonly string[];
  /** Stretches with the engine standing. */
  readonly stopped: readonly Gap[];
  /** What the throttle reads when shut, %; null without a throttle, or where it does not rest. */
  readonly closedThrottlePct: number | null;
  /** Readings were averaged over bins of this, s, to bound memory; null when they were kept as they are. */
  readonly averagedS: number | null;
  /** The parts that were kept, to bound memory; null when all of it was. Channels, gaps and stops are those of what was kept. */
  readonly kept: readonly Gap[] | null;
  /** Time of the last row, s. */
  readonly durationS: number;
  /** All of it that a reader should know, in sentences, gravest first. */
  readonly notes: readonly string[];
}

export interface Log {
  readonly name: string;
  readonly durationS: number;
  readonly channels: ReadonlyMap<ChannelName, Channel>;
  /** Times at which the clock was put back, or before which something was left out: nothing goes on across them. */
  readonly breaks: readonly number[];
  readonly report: LogReport;
}
