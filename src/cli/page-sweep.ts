/** A sweep for `page`: from its store, or from what `sweep --json` printed. */
import { closeSync, openSync, readFileSync } from 'node:fs';
import { cellCount, createFrontGathering, createGathering, type Objectives, readObjectives, type SweepRow, workOf } from '../search/index.js';
import { sweepForPage } from '../report/page-sweep.js';
import type { PageSweep } from '../report/page-payload.js';
import type { Axis } from '../search/index.js';
import type { Design } from '../search/work.js';
import { BadInput } from './failure.js';
import { beginsAsStore, readStore, storeRows } from './store-read.js';

/** What the front is about unless the reader says. */
const FRONT = 'settling,stall-margin';

/** @throws BadInput */
export function frontOf(text: string = FRONT): Objectives {
  const objectives = readObjectives(text);
  if (typeof objectives === 'string') throw new BadInput([`--front ${objectives}`]);
  return objectives;
}

/** Whether a file begins as a store of a sweep does, or as JSON. */
export function kindOfFile(path: string): 'store' | 'json' | 'other' {
  let handle: number;
  try {
    handle = openSync(path, 'r');
  } catch {
    return 'other'; // who reads it says what is wrong
  }
  try {
    if (beginsAsStore(handle)) return 'store';
  } catch {
    return 'other';
  } finally {
    closeSync(handle);
  }
  return /\.json$/i.test(path) ? 'json' : 'other';
}

/** @throws BadInput when it is no store, or one that is damaged */
export function sweepInStore(path: string, objectives: Objectives): PageSweep {
  const { header, count } = readStore(path, () => undefined);
  const gathering = createGathering(workOf(header), header.total, 1);
  const front = createFrontGathering(objectives);
  for (const row of storeRows(path, header)) {
    gathering.add([row]);
    front.add([row]);
  }
  const [title] = header.scenarios.map((scenario) => scenario.title);
  const name = `${title === undefined || title === '' ? path : title}${count < header.total ? ` (${count} of ${header.total} cells so far)` : ''}`;
  return sweepForPage({ name, axes: header.axes, cells: header.total, map: gathering.summary().map, front: front.front() });
}

interface Printed {
  readonly axes: readonly Axis[];
  readonly total: number;
  readonly rows: readonly (Omit<SweepRow, 'values'> & { readonly values: Readonly<Record<string, number>> })[];
}

/** @throws BadInput when it is not what `sweep --json` prints */
export function sweepInJson(path: string, objectives: Objectives): PageSweep {
  let printed: Partial<Printed>;
  try {
    printed = JSON.parse(readFileSync(path, 'utf8')) as Partial<Printed>;
  } catch (error) {
    throw new BadInput([`${path}: is no JSON: ${(error as Error).message}`]);
  }
  const { axes, total, rows } = printed;
  if (!Array.isArray(axes) || !Array.isArray(rows) || typeof total !== 'number') {
    throw new BadInput([`${path}: is not what sweep --json prints; a scenario, the store of a sweep, or such a file is wanted`]);
  }
  const cells: readonly SweepRow[] = rows.map((row) => ({ ...row, values: axes.map(({ key }) => row.values[key] as number) }));
  const grid = cellCount(axes) === total ? {} : { design: {} as Design };
  const gathering = createGathering({ axes, ...grid }, total, 1);
  const front = createFrontGathering(objectives);
  gathering.add(cells);
  front.add(cells);
  return sweepForPage({ name: path, axes, cells: total, map: gathering.summary().map, front: front.front() });
}
