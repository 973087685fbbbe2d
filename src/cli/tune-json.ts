/** What `tune` and `rules` print with `--json`: units in the keys' names; what is absent is null. */
import type { IdleMargins } from '../linear/idle.js';
import type { Judged } from '../search/tune/referee.js';
import { stageOf, type TuneResult, type TuneStage } from '../search/tune/result.js';
import type { GainScale } from '../report/rules.js';

/** The numbers of the loop broken at the air valve, and of the whole. */
export function marginsSummary({ loops, stable, ms, worstMs }: IdleMargins) {
  const air = loops.airBreak ?? loops.air;
  return {
    stable, ms, worstMs,
    gainMargin: air?.gainMargin ?? null, phaseMarginDeg: air?.phaseMarginDeg ?? null, delayMarginS: air?.delayMarginS ?? null,
    crossoverHz: air?.crossover == null ? null : air.crossover / (2 * Math.PI),
  };
}

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null);

/** @param judged one set */
const setObject = ({ keys, drills, corners }: TuneResult, judged: Judged) => ({
  settings: Object.fromEntries(keys.map((key, i) => [key, judged.values[i]])),
  holds: judged.holds, complete: judged.complete,
  score: judged.finish?.score ?? null, stalls: judged.finish?.stalled ?? null,
  // null where the loop is unstable
  msAsDescribed: finite(judged.msNominal), msWorst: finite(judged.msWorst), msWorstCorner: corners[judged.msCorner],
  runs: judged.finish?.runs.map(({ run, ...rest }) => ({ drill: drills[run % drills.length], corner: corners[Math.floor(run / drills.length)], ...rest })) ?? [],
});

const stageObject = (result: TuneResult, stage: TuneStage | null) =>
  stage === null ? null : { everywhere: stage.best?.everywhere ?? false, best: stage.best === null ? null : setObject(result, stage.best.judged), sets: stage.found.length };

export function tuneObject(result: TuneResult, file: string, title: string, gainScale: GainScale) {
  const { terms, limits, units, keys, drills, corners, before, air, spark, noSpark, answer, rules, ranges, integralOnly, answers, margins, searched, spent, interrupted, msWithoutSpark } = result;
  const best = stageOf(result).best?.judged ?? null;
  return {
    file, scenario: title, terms, limits, units: Object.fromEntries(keys.map((key, i) => [key, units[i]])), gainScale, drills, corners,
    answer, interrupted, tuned: best === null ? null : setObject(result, best), before: before === null ? null : setObject(result, before),
    air: stageObject(result, air), spark: stageObject(result, spark), noSpark,
    rules: rules.map(({ row, rate, rateFrom, judged }) => ({ ...row, sparkRateDegPerRpm: rate, sparkRateFrom: rateFrom, standing: judged === null ? null : { holds: judged.holds, score: judged.finish?.score ?? null, msAsDescribed: finite(judged.msNominal), msWorst: finite(judged.msWorst) } })),
    ranges,
    integralOnly: integralOnly === null ? null : { best: integralOnly.judged === null ? null : setObject(result, integralOnly.judged), besideScore: integralOnly.beside.finish?.score ?? null },
    answers: answers.map(({ name, judged }) => ({ name, ...setObject(result, judged) })),
    margins: {
      before: marginsSummary(margins.before), after: margins.after === null ? null : marginsSummary(margins.after),
      withoutSpark: margins.withoutSpark === null ? null : { ...marginsSummary(margins.withoutSpark), msWorst: msWithoutSpark === null ? null : finite(msWithoutSpark) },
    },
    searched: { corners: searched.corners.map((i) => corners[i]), drills: searched.drills.map((i) => drills[i]) }, spent,
  };
}
