/** What reading has come to when all rows are in: the parts that channels and the report are made of. */
import type { Place } from '../../scenario/problem.js';
import type { ChannelName } from './channels.js';
import type { ClockFacts, ClockSettings } from './clock.js';
import type { Candidate } from './guess.js';
import type { Layout } from './layout.js';
import type { TextFacts } from './lines.js';
import type { ChannelReport } from './log.js';
import type { Store } from './store.js';
import type { TimeColumn } from './time-column.js';
import type { Converter } from './units.js';
import type { Held } from './windows.js';

/** A column and the channel that it is; the unit that the user gave. */
export interface Assigned {
  readonly channel: ChannelName;
  readonly index: number;
  readonly unit: string | null;
  readonly by: ChannelReport['by'];
}

/** What was counted on the way. */
export interface Found {
  lines: number;
  rows: number;
  blank: number;
  comments: number;
  /** Repeats of the header. */
  headers: number;
  unreadable: number;
  firstUnreadable: number;
  /** Rows with fewer fields than most. */
  ragged: number;
  cutOff: boolean;
  /** By series. */
  readonly missing: number[];
}

export interface Read {
  readonly name: string;
  /** Where columns are named. */
  readonly place: Place;
  readonly layout: Layout;
  readonly facts: TextFacts;
  readonly found: Found;
  readonly time: TimeColumn;
  readonly settings: ClockSettings;
  readonly clock: ClockFacts;
  readonly store: Store;
  readonly held: Held;
  readonly convert: Converter;
  readonly notes: readonly string[];
  readonly candidates: readonly Candidate[];
  readonly assigned: readonly Assigned[];
  readonly seriesOf: (assigned: number) => number;
  readonly timeTitle: string;
  readonly delimiterName: string;
  readonly leftOut: readonly number[];
}
