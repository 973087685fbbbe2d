/** What a reader should know about a log, in sentences, gravest first. */
import type { Found } from './found.js';
import type { Layout } from './layout.js';
import type { Gap, LogReport } from './log.js';
import type { ClockSettings } from './clock.js';
import type { TimeColumn } from './time-column.js';

/** No running engine leaves these as they are; any other may well stand. */
const LIVELY = ['speed', 'map', 'maf'];

const plural = (n: number, one: string): string => `${n} ${one}${n === 1 ? '' : 's'}`;
const seconds = (s: number): string => `${Number(s.toPrecision(3))} s`;

const DAY = 86_400;
function duration(s: number): string {
  const [divisor, unit] = s >= 2 * DAY ? [DAY, 'days'] : s >= 7200 ? [3600, 'hours'] : s >= 120 ? [60, 'minutes'] : [1, 's'];
  return `${Number((s / divisor).toPrecision(2))} ${unit}`;
}

function keptNote(kept: readonly Gap[], durationS: number): string {
  const total = kept.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0);
  const places = kept.slice(0, 3).map(({ fromS, toS }) => `${Math.round(fromS)} … ${Math.round(toS)} s`).join(', ');
  return `more readings than are held: of ${duration(durationS)}, ${duration(total)} with the most idling and events in them are looked at (${places}${kept.length > 3 ? ` and ${kept.length - 3} more` : ''}); --from and --to give any other part`;
}

export function notesOf(report: Omit<LogReport, 'notes'>, { found, layout, settings, time, notes, unitNotes }: {
  readonly found: Found; readonly layout: Layout; readonly settings: ClockSettings; readonly time: TimeColumn; readonly notes: readonly string[]; readonly unitNotes: readonly string[];
}): string[] {
  const { jumps, duplicates, conflicts, backward, stray } = report.time;
  const said: (string | false)[] = [
    ...unitNotes,
    ...notes,
    time.because !== null && `time: column ${report.time.column} is taken for it, since ${time.because}`,
    time.stamps.how.includes('as their') && `time: no unit is given; taken for ${time.stamps.how}`,
    settings.coarse !== null && `time: about ${plural(settings.perStamp, 'row')} share a stamp of ${seconds(settings.coarse)}; they are spread evenly over it, and any may be out by up to ${seconds(settings.coarse)}`,
    ...jumps.slice(0, 5).map(({ line, at, byS }) => `time: the clock goes back by ${seconds(byS)} at line ${line}; what follows is a new stretch, from ${seconds(at)}`),
    jumps.length > 5 && `time: the clock goes back ${jumps.length - 5} times more`,
    backward > 0 && `time: ${plural(backward, 'row')} out of order left out`,
    stray > 0 && `time: ${plural(stray, 'row')} with a stamp far ahead of its neighbours left out`,
    duplicates > 0 && `time: ${plural(duplicates, 'row')} there twice, counted once`,
    conflicts > 0 && `time: ${plural(conflicts, 'row')} with a stamp that had been and other values; the first is kept`,
    report.gaps.length > 0 && `${plural(report.gaps.length, 'gap')}, the longest of ${seconds(Math.max(...report.gaps.map(({ fromS, toS }) => toS - fromS)))}; nothing is made up for them`,
    found.unreadable > 0 && `${plural(found.unreadable, 'row')} without a time that can be read left out, the first on line ${found.firstUnreadable}`,
    found.cutOff && 'the last row is cut off, and left out',
    found.ragged > 0 && `${plural(found.ragged, 'row')} with fewer fields than the others: what is missing is taken for no reading`,
    found.headers > 0 && `the header comes ${plural(found.headers, 'time')} more`,
    ...report.channels.filter(({ refreshS }) => refreshS !== null).map(({ name, refreshS, periodS }) => `${name} is read anew only about every ${seconds(refreshS as number)}, though rows come every ${seconds(periodS as number)}: it may be late by as much`),
    ...report.channels.filter(({ constant, name }) => constant && LIVELY.includes(name)).map(({ name, lowest, unit }) => `${name} never moves: it is ${Number(lowest.toPrecision(6))}${unit === '' ? '' : ` ${unit}`} throughout`),
    report.stopped.length > 0 && `the engine stands for ${seconds(report.stopped.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0))}`,
    report.closedThrottlePct !== null && Math.abs(report.closedThrottlePct) > 3 && `the shut throttle reads ${Number(report.closedThrottlePct.toPrecision(3))} %, not 0`,
    report.averagedS !== null && `more readings than are held: averaged over ${seconds(report.averagedS)}`,
    report.kept !== null && keptNote(report.kept, report.durationS),
    layout.headerLine === null && 'there is no header: columns are named by number',
    layout.preamble > 0 && `${plural(layout.preamble, 'line')} before the header passed over`,
  ];
  return said.filter((s) => s !== false);
}
