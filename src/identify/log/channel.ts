/** The readings of a column to a channel: its unit judged and converted, its refresh found. */
import { type ChannelName, kindOf } from './channels.js';
import type { Read, Assigned } from './found.js';
import { countsFromOpenAir } from './gauge.js';
import type { Candidate } from './guess.js';
import type { Channel, ChannelReport, Gap } from './log.js';
import { judgeUnit } from './plausible.js';
import { LogError } from './problem.js';
import { periodOf, refreshOf } from './refresh.js';
import type { Series } from './series.js';
import { unitOf } from './units.js';

const isSwitch = (values: Float64Array): boolean => values.every((v) => v === 0 || v === 1);

/** The unit that a channel without one of its own is in: as given, or for a valve by the size of its values. */
function ownUnit(channel: ChannelName, given: string, highest: number): { unit: string; note: string | null } {
  if (channel !== 'air') return { unit: given, note: null };
  const known = unitOf(given);
  if (known?.of === 'part') return { unit: '%', note: null };
  if (known?.of === 'steps') return { unit: 'step', note: null };
  const unit = highest > 100 ? 'step' : '%';
  return { unit, note: `${given === '' ? 'no unit is given' : `${given} is no unit of a valve`}; taken for ${unit === '%' ? '%, since no value is above 100' : 'steps, since values go above 100'}` };
}

/** Puts values into the channel's unit, in place. @returns the unit they were read in; null where they cannot be used */
function convertIn(read: Read, a: Assigned, wanted: string, values: Float64Array, notes: string[], unsaid: string[]): string | null {
  const { convert, candidates } = read;
  const column = candidates[a.index] as Candidate;
  const given = a.unit ?? column.unit;
  const known = unitOf(given) !== null;
  const by = (slope: number, offset: number): void => {
    if (slope !== 1 || offset !== 0) for (let k = 0; k < values.length; k++) values[k] = (values[k] as number) * slope + offset;
  };
  const foreign = (): never => {
    throw new LogError([{ ...read.place, path: a.channel, message: `column ${column.title} is in ${given}, which is no unit of ${kindOf(a.channel).meaning}; give another column, or its unit: --map ${a.channel}=COLUMN [${wanted}]` }]);
  };
  if (known && convert(given, wanted) === null) foreign();
  const open = a.channel === 'map' ? countsFromOpenAir(values, column, given, candidates, convert) : null;
  if (open !== null) {
    notes.push(`map: ${open.note}`);
    by(open.slope, open.barometerKpa);
    return open.unit;
  }
  if (!known && given !== '') notes.push(`${a.channel}: ${given} is no unit that is known`);
  const verdict = judgeUnit(values, kindOf(a.channel), { unit: given, by: a.unit !== null ? 'user' : known ? 'header' : 'none' }, convert);
  if (verdict.note !== null) notes.push(`${a.channel}: ${verdict.note}`);
  if (verdict.unsaid === true) unsaid.push(`${a.channel} ${wanted}`);
  const conversion = convert(verdict.unit, wanted);
  if (conversion === null) return foreign();
  by(conversion.slope, conversion.offset);
  return verdict.unit;
}

/** @returns null for a column that cannot be used */
export function channelOf(read: Read, a: Assigned, series: Series, missing: number, notes: string[], unsaid: string[]): { channel: Channel; report: ChannelReport } | null {
  const column = read.candidates[a.index] as Candidate;
  const kind = kindOf(a.channel);
  const { timeS, values } = series;
  const header = column.unit;
  const unitRead = kind.unit === null ? (a.unit ?? header) : convertIn(read, a, kind.unit, values, notes, unsaid);
  if (unitRead === null) return null;
  let unit = kind.unit ?? unitRead;
  const [lowest, highest] = [values.reduce((x, y) => Math.min(x, y), Infinity), values.reduce((x, y) => Math.max(x, y), -Infinity)];
  if (kind.unit === null && kind.switch !== true) {
    const own = ownUnit(a.channel, unitRead, highest);
    if (own.note !== null) notes.push(`${a.channel}: ${own.note}`);
    unit = own.unit;
  }
  const held = kind.switch === true && isSwitch(values);
  const refreshS = held ? null : refreshOf(timeS, values);
  const longestGapS = gapsIn({ timeS }, 0, read.held.cuts).reduce((most, { fromS, toS }) => Math.max(most, toS - fromS), 0);
  const period = periodOf(timeS);
  const report: ChannelReport = {
    name: a.channel, column: column.title, unitGiven: header, unitRead, unit, by: a.by, samples: values.length, missing,
    periodS: Number.isNaN(period) ? null : period, refreshS, longestGapS, lowest, highest, constant: lowest === highest,
  };
  return { channel: { name: a.channel, unit, switch: held, timeS, values, refreshS }, report };
}

/** Readings further apart than a limit; what was left out to bound memory is no gap. */
export function gapsIn({ timeS }: { readonly timeS: Float64Array }, limitS: number, cuts: readonly number[] = []): Gap[] {
  const gaps: Gap[] = [];
  let next = 0;
  for (let k = 1; k < timeS.length; k++) {
    const [fromS, toS] = [timeS[k - 1] as number, timeS[k] as number];
    let cut = false;
    for (; (cuts[next] ?? Infinity) <= toS; next++) cut = true;
    if (!cut && toS - fromS > limitS) gaps.push({ fromS, toS });
  }
  return gaps;
}
