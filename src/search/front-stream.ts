/** The front of a sweep taken as rows go by, and enough of the others to draw behind it. */
import type { SweepRow } from './evaluate.js';
import { frontOf } from './front.js';
import { findObjective, type Objective } from './objectives.js';

export type Objectives = readonly [Objective, Objective];

/** Reads `a,b`. @returns what is wrong, as text */
export function readObjectives(text: string): Objectives | string {
  const names = text.split(',');
  if (names.length !== 2) return `${text}: two metrics are wanted, such as settling,stall-margin`;
  const [first, second] = [findObjective(names[0] as string), findObjective(names[1] as string)];
  if (typeof first === 'string') return first;
  if (typeof second === 'string') return second;
  return first.name === second.name ? `${text}: two different metrics are wanted` : [first, second];
}

export interface Front {
  readonly objectives: Objectives;
  /** Best in the first objective first. */
  readonly front: readonly SweepRow[];
  /** Rows to draw behind it: every one, or every 2nd, 4th, … of very many. */
  readonly others: readonly SweepRow[];
}

export interface FrontGathering {
  /** Takes rows by ascending index. */
  add(rows: Iterable<SweepRow>): void;
  front(): Front;
}

/** Most rows drawn behind the front: more than a terminal has places. */
const MOST_OTHERS = 4_096;

export function createFrontGathering(objectives: Objectives): FrontGathering {
  let front: SweepRow[] = [];
  let fresh: SweepRow[] = [];
  let others: SweepRow[] = [];
  let [stride, seen] = [1, 0];
  const settle = (): void => {
    front = frontOf([...front, ...fresh], objectives); // the front of a front and of what is new is the front of all
    fresh = [];
  };
  const draw = (row: SweepRow): void => {
    if (seen++ % stride !== 0) return;
    others.push(row);
    if (others.length <= MOST_OTHERS) return;
    others = others.filter((_, i) => i % 2 === 0);
    stride *= 2;
  };
  return {
    add(rows) {
      for (const row of rows) {
        draw(row);
        fresh.push(row);
        if (fresh.length >= Math.max(MOST_OTHERS, front.length)) settle();
      }
    },
    front() {
      settle();
      const own = new Set(front.map(({ index }) => index));
      return { objectives, front, others: others.filter(({ index }) => !own.has(index)) };
    },
  };
}
