/** Three good answers that differ: what the score weighs together, a calibrator may weigh otherwise. */
import type { Judged, Referee } from './referee.js';
import { placeOf, type Variable } from './space.js';

export type AnswerName = 'calm' | 'balanced' | 'quick';

export interface Answer {
  readonly name: AnswerName;
  readonly judged: Judged;
}

/** How much dearer than the best an answer may be, and how far in places it must lie from the others. */
const DEARER = 1.5;
const APART = 0.08;
/** Scales of sag and settling, as the score has them. */
const SAG_RPM = 80;
const SETTLING_S = 3;

/** What its worst load costs: sag and settling alone, over the runs it was judged on. */
function slowness({ finish }: Judged, { course: { settles, drills } }: Referee): number {
  const runs = finish?.runs ?? [];
  const sag = Math.max(0, ...runs.map(({ sagRpm }) => sagRpm ?? 0));
  const settling = Math.max(0, ...runs.filter(({ run }) => settles[run % drills]).map(({ settlingTimeS }) => settlingTimeS ?? 30));
  return Math.hypot(sag / SAG_RPM, settling / SETTLING_S);
}

/**
 * Balanced is the best score. Calm has the lowest sensitivity, quick the least sag and settling, each within half as much
 * again of that score, within every limit that the best keeps, and at least `APART` away.
 *
 * @param found complete sets
 */
export function answersOf(found: readonly Judged[], best: Judged, variables: readonly Variable[], referee: Referee): readonly Answer[] {
  const { keys } = referee.course;
  const pointOf = ({ values }: Judged): number[] => variables.map((variable) => placeOf(variable, values[keys.indexOf(variable.key)] as number));
  const answers: Answer[] = [{ name: 'balanced', judged: best }];
  const differs = (set: Judged): boolean => answers.every(({ judged }) => Math.hypot(...pointOf(judged).map((u, i) => u - (pointOf(set)[i] as number))) >= APART);
  const pick = (name: AnswerName, of: (set: Judged) => number): void => {
    const able = found.filter((set) => set.cost <= DEARER * best.cost && (set.holds || !best.holds) && differs(set) && of(set) < of(best));
    const chosen = able.reduce<Judged | null>((least, set) => (least === null || of(set) < of(least) ? set : least), null);
    if (chosen !== null) answers.push({ name, judged: chosen });
  };
  pick('calm', ({ msNominal, msWorst }) => Math.max(msNominal, msWorst));
  pick('quick', (set) => slowness(set, referee));
  const order: readonly AnswerName[] = ['calm', 'balanced', 'quick'];
  return answers.sort((a, b) => order.indexOf(a.name) - order.indexOf(b.name));
}
