/** What `setup` found, for a terminal. */
import type { SetupResult, SetupRow } from '../setup/result.js';
import { palette } from './glyphs.js';
import { formatNumber, plural } from './numbers.js';
import { table } from './table.js';
import { clean, wrap } from './text.js';

export interface SetupLayout {
  readonly columns: number;
  readonly colour: boolean;
}

/** One setting: the key and its value, under it why, what proves it, what was tried, and its flag. */
function rowLines(row: SetupRow, { columns, colour }: SetupLayout): string[] {
  const paint = palette(colour);
  const under = (text: string): string[] => wrap(clean(text), columns - 5).map((line) => `     ${line}`);
  const tried = row.tried === null ? [] : table({
    heads: row.tried.heads.map((head) => ({ head })), rows: row.tried.rows, columns: columns - 7, colour: false,
  }).map((line) => `       ${line}`.trimEnd());
  return [
    ...wrap(clean(`${row.key}  ${row.text} ${row.unit}`.trim()), columns - 2, 2).map((line) => `  ${paint.bold(line)}`),
    ...under(`${row.why}.`),
    ...under(`Proven by: ${row.provenBy}`),
    ...tried,
    ...(row.flag === null ? [] : under(`FLAGGED: ${row.flag}`)),
  ];
}

/** Why the result is not to be driven off with, or that it holds. */
export function setupVerdict({ settings, drills, corners }: SetupResult): string {
  const failing = drills.filter(({ after }) => !after.passes);
  const flagged = settings.filter(({ flag }) => flag !== null);
  const stalling = corners.filter(({ stalls }) => stalls.length > 0);
  const parts = [
    ...(failing.length > 0 ? [`${plural(failing.length, 'drill')} of ${drills.length} still ${failing.length === 1 ? 'fails' : 'fail'} (${failing.map(({ name }) => name).join('; ')})`] : []),
    ...(stalling.length > 0 ? [`an engine that is off stalls (${stalling.map(({ name, stalls }) => `${name}: ${stalls.join(', ')}`).join('; ')})`] : []),
    ...(flagged.length > 0 ? [`${plural(flagged.length, 'setting')} flagged (${flagged.map(({ key }) => key).join(', ')})`] : []),
  ];
  if (parts.length > 0) return `Not done: ${parts.join('; ')}`;
  return `Done: all ${plural(drills.length, 'drill')} pass, and none stalls${corners.length === 0 ? '' : ' with the engine a fifth off in any one thing'}`;
}

/** The whole page, the title apart. */
export function setupPage(result: SetupResult, layout: SetupLayout): readonly string[] {
  const { columns, colour } = layout;
  const drills = table({
    heads: [{ head: 'drill', names: true, align: 'left' }, { head: 'score before' }, { head: 'score after' }, { head: 'passes before', align: 'left' }, { head: 'after', align: 'left' }],
    rows: result.drills.map(({ name, before, after }) => [
      name, formatNumber(before.score, 'score'), formatNumber(after.score, 'score'), before.passes ? 'yes' : 'no', after.passes ? 'yes' : 'NO',
    ]),
    columns, colour,
  });
  const failing = result.drills.filter(({ after }) => !after.passes).flatMap(({ name, after }) => wrap(clean(`${name}: ${after.verdict}`), columns, 2));
  return [
    'Settings',
    ...result.settings.flatMap((row) => rowLines(row, layout)),
    '',
    'Drills',
    ...drills,
    ...(failing.length > 0 ? ['', ...failing] : []),
    ...(result.corners.length === 0 ? [] : ['', ...wrap(
      `The engine a fifth off in one thing at a time (${[...new Set(result.corners.map(({ name }) => name.replace(/ [−+].*/, '')))].join(', ')}): ` +
      (result.corners.every(({ stalls }) => stalls.length === 0) ? 'no stall in any drill.' : 'see the verdict.'), columns, 2)]),
  ];
}
