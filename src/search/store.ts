/**
 * The store of a sweep: JSON Lines. The first line says what is swept, each further one is the row of a cell as
 * `SweepRow` has it, by ascending index and without a gap. So a store that breaks off anywhere is a whole one of fewer
 * cells, and the same sweep gives the same bytes for any number of workers and however often it was taken up again.
 *
 * Here is the form alone; whoever opens the file brings the lines.
 */
import { createHash } from 'node:crypto';
import { numericKeys, type Scenario } from '../scenario/index.js';
import type { Axis } from './axis.js';
import type { SweepRow } from './evaluate.js';
import { type Shard, shardText } from './shard.js';
import { type StartingPoint, startingPoint } from './sweep.js';
import { cellsOf, type Design, type Work } from './work.js';

export const STORE_FORMAT = 'tickover sweep';
export const STORE_VERSION = 1;

/** What every store begins with, so that a look at a few bytes tells one from other files. */
export const STORE_START = `{"format":${JSON.stringify(STORE_FORMAT)}`;

/** The first line. */
export interface StoreHeader {
  readonly format: typeof STORE_FORMAT;
  readonly version: number;
  /** SHA-256 of what decides a cell's numbers: program, scenarios, axes, design. The same in every shard. */
  readonly hash: string;
  /** Version of the program: another may give other bits. */
  readonly program: string;
  readonly shard: Shard;
  /** Cells of the whole sweep. */
  readonly total: number;
  readonly axes: readonly Axis[];
  /** Null for the grid of the axes. */
  readonly design: Design | null;
  readonly starting: StartingPoint;
  /** The suite with every default, in stored units. */
  readonly scenarios: readonly Scenario[];
}

type Swept = Pick<StoreHeader, 'program' | 'scenarios' | 'axes' | 'design'>;

const hashOf = ({ program, scenarios, axes, design }: Swept): string =>
  createHash('sha256').update(JSON.stringify([STORE_VERSION, program, scenarios, axes, design])).digest('hex');

/** @param program version of the program   @throws RangeError for a key that a sweep cannot vary */
export function storeHeader(work: Work, shard: Shard, program: string): StoreHeader {
  const { scenarios, axes } = work;
  const swept: Swept = { program, scenarios, axes, design: work.design ?? null };
  return {
    format: STORE_FORMAT, version: STORE_VERSION, hash: hashOf(swept), program, shard,
    total: cellsOf(work).count, axes, design: swept.design, starting: startingPoint(scenarios, axes), scenarios,
  };
}

export const headerLine = (header: StoreHeader): string => `${JSON.stringify(header)}\n`;
export const rowLine = (row: SweepRow): string => `${JSON.stringify(row)}\n`;

/** The work that a store holds. */
export const workOf = ({ scenarios, axes, design }: StoreHeader): Work => ({ scenarios, axes, ...(design === null ? {} : { design }) });

/** Reads a first line. @returns what is wrong, as text, when it is none of ours */
export function readHeader(line: string): StoreHeader | string {
  let header: StoreHeader;
  try {
    header = JSON.parse(line) as StoreHeader;
  } catch {
    return 'the first line is damaged';
  }
  if (header.version !== STORE_VERSION) return `a store of format ${header.version}; this program reads and writes format ${STORE_VERSION}`;
  return header.hash === hashOf(header) ? header : 'the first line has been changed: its hash does not match';
}

/** Reads a row that must be that of the cell `index`. @returns what is wrong, as text */
export function readRow(line: string, index: number): SweepRow | string {
  let row: SweepRow;
  try {
    row = JSON.parse(line) as SweepRow;
  } catch {
    return `no row of cell ${index}, but damaged`;
  }
  return row?.index === index ? row : `holds cell ${row?.index ?? 'without a number'} where cell ${index} must follow`;
}

const isSame = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);

/** Paths of the single values in plain data. */
function* pathsIn(value: unknown, path = ''): Generator<string> {
  if (value === null || typeof value !== 'object') yield path;
  else for (const [key, inner] of Object.entries(value)) yield* pathsIn(inner, path === '' ? key : `${path}.${key}`);
}

/** Most keys that are named where one side has more of them. */
const MOST_NAMED = 3;

/** Keys that one of two scenarios has alone: another drill, another kind of valve, or another build of this program. */
function keyDifferences(there: Scenario, here: Scenario): string[] {
  const [before, now] = [new Set(pathsIn(there)), new Set(pathsIn(here))];
  const told = (paths: readonly string[], where: string): string[] =>
    paths.length === 0 ? [] : [`only ${where}: ${paths.slice(0, MOST_NAMED).join(', ')}${paths.length > MOST_NAMED ? ` and ${paths.length - MOST_NAMED} more` : ''}`];
  return [...told([...before].filter((path) => !now.has(path)), 'there'), ...told([...now].filter((path) => !before.has(path)), 'here')];
}

/** How two scenarios differ: in keys; else in numbers, in documented units; else in something else. */
function scenarioDifferences(there: Scenario, here: Scenario): string[] {
  const keys = keyDifferences(there, here);
  if (keys.length > 0) return keys;
  const now = new Map(numericKeys(here).map((key) => [key.path, key]));
  const numbers = numericKeys(there).flatMap(({ path, unit, value }) => {
    const text = (number: number | null): string => (number === null ? 'absent' : `${number}${unit === '' ? '' : ` ${unit}`}`);
    const other = now.get(path);
    return other === undefined || other.value === value ? [] : [`${path}: ${text(value)} there, ${text(other.value)} here`];
  });
  if (numbers.length > 0) return numbers;
  return (Object.keys(there) as (keyof Scenario)[]).filter((key) => !isSame(there[key], here[key])).map((key) => `${key}: not the same`);
}

function axisDifferences(there: readonly Axis[], here: readonly Axis[]): string[] {
  const keys = (axes: readonly Axis[]): string => axes.map(({ key }) => key).join(', ');
  if (keys(there) !== keys(here)) return [`--vary: ${keys(there)} there, ${keys(here)} here`];
  const text = ({ values }: Axis): string => (values.length > 6 ? `${values.length} values from ${values[0]} to ${values.at(-1)}` : values.join(','));
  return there.flatMap((axis, a) => (isSame(axis, here[a]) ? [] : [`--vary ${axis.key}: ${text(axis)} there, ${text(here[a] as Axis)} here`]));
}

/** How two sweeps differ, a line each; none when one may go on with the other's store. */
export function storeDifferences(there: StoreHeader, here: StoreHeader): string[] {
  const shards = isSame(there.shard, here.shard) ? [] : [`--shard: ${shardText(there.shard)} there, ${shardText(here.shard)} here`];
  if (there.hash === here.hash) return shards;
  const found = there.program === here.program ? [] : [`program: version ${there.program} there, ${here.program} here`];
  const designs = isSame(there.design, here.design) ? [] : ['--sample: not the same'];
  const suites =
    there.scenarios.length === here.scenarios.length
      ? there.scenarios.flatMap((scenario, i) => scenarioDifferences(scenario, here.scenarios[i] as Scenario))
      : [`drills: ${there.scenarios.length} there, ${here.scenarios.length} here`];
  return [...found, ...shards, ...axisDifferences(there.axes, here.axes), ...designs, ...new Set(suites)];
}
