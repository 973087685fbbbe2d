/** Which drills on which engines a search is judged on, where all of them are too many to be run for every set. */
import type { Finish } from './race.js';
import type { Referee } from './referee.js';

/** Drills and corners searched on at most; the answer is then proven on all. */
const MOST_DRILLS = 6;
const MOST_CORNERS = 5;

export const cornerRuns = (referee: Referee, corner: number, drills: readonly number[]): number[] => drills.map((drill) => corner * referee.course.drills + drill);

export const allDrills = ({ course }: Referee): number[] => Array.from({ length: course.drills }, (_, drill) => drill);
export const allRuns = ({ course }: Referee): number[] => Array.from({ length: course.scenarios.length }, (_, run) => run);

/** The drills that cost most, in the order of the suite. @param finishes of the engine as described, on all drills */
export function hardDrills(referee: Referee, finishes: readonly Finish[]): readonly number[] {
  const { drills } = referee.course;
  const cost = (drill: number): number => Math.max(0, ...finishes.flatMap(({ runs }) => runs.filter(({ run }) => run % drills === drill).map(({ score, stalled }) => score + (stalled ? 100 : 0))));
  return allDrills(referee).sort((a, b) => cost(b) - cost(a) || a - b).slice(0, MOST_DRILLS).sort((a, b) => a - b);
}

/** Mean score of each corner that was run, the dearest first. */
export function cornerScores(referee: Referee, finish: Finish): readonly { readonly corner: number; readonly score: number }[] {
  const { drills } = referee.course;
  const corners = [...new Set(finish.runs.map(({ run }) => Math.floor(run / drills)))];
  const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;
  return corners
    .map((corner) => ({ corner, score: mean(finish.runs.filter(({ run }) => Math.floor(run / drills) === corner).map(({ score }) => score)) }))
    .sort((a, b) => b.score - a.score || a.corner - b.corner);
}

/** Corner whose settling, and whose hunting, is worst: those decide the limits. */
function limiting(referee: Referee, { runs }: Finish): readonly number[] {
  const { drills, settles } = referee.course;
  const worst = (of: (run: Finish['runs'][number]) => number): number => {
    const run = runs.reduce<Finish['runs'][number] | null>((a, b) => (a === null || of(b) > of(a) ? b : a), null);
    return Math.floor((run?.run ?? 0) / drills);
  };
  return [worst(({ run, settlingTimeS }) => (settles[run % drills] ? (settlingTimeS ?? Number.POSITIVE_INFINITY) : 0)), worst(({ huntingRpm }) => huntingRpm ?? 0)];
}

/** The engine as described and the corners that cost or limit most. @param finishes over all corners */
export function hardCorners(referee: Referee, finishes: readonly Finish[]): readonly number[] {
  const chosen = new Set([0]);
  const rankings = finishes.map((finish) => [...limiting(referee, finish), ...cornerScores(referee, finish).map(({ corner }) => corner)]);
  for (let i = 0; chosen.size < MOST_CORNERS && i < referee.corners.length + 2; i++) {
    for (const ranking of rankings) if (ranking[i] !== undefined && chosen.size < MOST_CORNERS) chosen.add(ranking[i] as number);
  }
  return [...chosen].sort((a, b) => a - b);
}
