/** A search and its proof: found on the runs that decide, proven on all, searched again where the proof brings up others. */
import type { Judged, Referee } from './referee.js';
import type { Proven, TuneStage } from './result.js';
import { allRuns } from './runs.js';
import { orderOf, search, type SearchOptions } from './search.js';

/** How often a proof that fails may add runs, and the share of the budget that each further search gets. */
const ROUNDS = 2;
const AGAIN = 0.2;
/** Score on all runs beyond that on those searched on from which those were the wrong ones. */
const WORSE = 1.1;

/** Runs of a proof that are worse than any searched on, by settling, hunting or a stall, and those of its dearest corner. */
function telling({ finish }: Judged, { course }: Referee, on: readonly number[]): readonly number[] {
  const runs = finish?.runs ?? [];
  const sums = new Map<number, number>();
  for (const { run, score } of runs) sums.set(Math.floor(run / course.drills), (sums.get(Math.floor(run / course.drills)) ?? 0) + score);
  const [dearest] = [...sums].sort((a, b) => b[1] - a[1])[0] ?? [0];
  const settling = ({ run, settlingTimeS }: (typeof runs)[number]): number => (course.settles[run % course.drills] === true ? (settlingTimeS ?? Number.POSITIVE_INFINITY) : 0);
  const most = (of: (run: (typeof runs)[number]) => number, limit: number | null): readonly number[] => {
    const worst = runs.reduce<(typeof runs)[number] | null>((a, b) => (a === null || of(b) > of(a) ? b : a), null);
    return worst === null || limit === null || of(worst) <= limit || on.includes(worst.run) ? [] : [worst.run];
  };
  return [
    ...runs.filter(({ run, stalled }) => stalled || Math.floor(run / course.drills) === dearest).map(({ run }) => run),
    ...most(settling, course.settlingS), ...most(({ huntingRpm }) => huntingRpm ?? 0, course.huntingRpm),
  ];
}

/** Every corner of the runs with every drill among them, so that each corner's mean is of the same drills. */
function completed(runs: readonly number[], drills: number): readonly number[] {
  const [corners, which] = [new Set<number>(), new Set<number>()];
  for (const run of runs) {
    corners.add(Math.floor(run / drills));
    which.add(run % drills);
  }
  return [...corners].sort((a, b) => a - b).flatMap((corner) => [...which].sort((a, b) => a - b).map((drill) => corner * drills + drill));
}

/** @returns the stage, and the runs that it was searched on in the end */
export async function runStage(options: SearchOptions): Promise<{ readonly stage: TuneStage; readonly runs: readonly number[] }> {
  const { referee, variables, signal } = options;
  const { drills } = referee.course;
  let { runs } = options;
  let result = await search(options);
  let best: Proven | null = null;
  let proof: Judged | null = null;
  for (let round = 0; ; round++) {
    const [first] = result.found;
    if (first === undefined) break;
    if (best === null) best = { judged: first, everywhere: false };
    if (signal?.aborted) break;
    [proof = null] = await referee.judge([first.values], { order: orderOf(allRuns(referee), referee), throughStalls: true });
    if (proof === null) break;
    if (!best.everywhere || (proof.holds && !best.judged.holds) || (proof.holds === best.judged.holds && proof.cost < best.judged.cost)) best = { judged: proof, everywhere: true };
    const stands = proof.holds === first.holds && !proof.finish?.stalled && (proof.finish?.score ?? 0) <= WORSE * (first.finish?.score ?? 0);
    if (stands || round === ROUNDS) break;
    const more = completed([...runs, ...telling(proof, referee, runs)], drills);
    if (more.length === runs.length) break;
    runs = more;
    result = await search({ ...options, runs, budgetS: AGAIN * options.budgetS, starts: result.found.slice(0, 6).map(({ values }) => values) });
  }
  // of stalls everywhere nothing is an answer
  const stalls = best?.judged.finish?.stalled === true;
  return { stage: { best: stalls ? null : best, closest: stalls ? (best as Proven).judged : result.closest, found: result.found, variables }, runs };
}
