/** What tuning found, in sentences: the verdict, what decides, what it costs to do without, and why. */
import type { Judged } from '../search/tune/referee.js';
import { type RateFrom, type RuleStanding, stageOf, type TuneResult, type TuneStage } from '../search/tune/result.js';
import { formatNumber, plural } from './numbers.js';
import { gainText } from './rules.js';
import { shortKey, worstRun } from './tune.js';

const score = (value: number): string => formatNumber(value, 'score');
/** A sensitivity over its bound, with as many digits as tell it from the bound. */
const over = (value: number, most: number): string => {
  if (!Number.isFinite(value)) return 'without bound: the loop is unstable';
  const digits = [3, 4, 5, 6].find((count) => Number(value.toPrecision(count)) !== most) ?? 7;
  return `${Number(value.toPrecision(digits))}`;
};

/** Each limit that a set breaks, where and by how much. */
export function brokenLimits(result: TuneResult, judged: Judged): readonly string[] {
  const { limits, corners, drills, settles } = result;
  const at = (run: number): string => `${drills[run % drills.length]}, ${corners[Math.floor(run / drills.length)]}`;
  const runs = judged.finish?.runs ?? [];
  const stalled = runs.find((run) => run.stalled);
  const counted = drills.map((_, drill) => drill).filter((drill) => settles[drill] === true);
  const slowest = counted
    .map((drill) => worstRun(judged, drill, drills.length, 'settlingTimeS'))
    .filter((run) => run !== null)
    .sort((a, b) => (b.settlingTimeS ?? Number.POSITIVE_INFINITY) - (a.settlingTimeS ?? Number.POSITIVE_INFINITY))[0];
  const hunting = [...runs].sort((a, b) => (b.huntingRpm ?? 0) - (a.huntingRpm ?? 0))[0];
  const slow = slowest !== undefined && limits.settlingS !== null && (slowest.settlingTimeS === null || slowest.settlingTimeS > limits.settlingS);
  return [
    ...(stalled === undefined ? [] : [`the engine stalls (${at(stalled.run)})`]),
    ...(judged.msNominal > limits.msNominal ? [`Ms is ${over(judged.msNominal, limits.msNominal)} as described, ${limits.msNominal} allowed`] : []),
    ...(judged.msCorner > 0 && judged.msWorst > limits.msCorner ? [`Ms is ${over(judged.msWorst, limits.msCorner)} at ${corners[judged.msCorner]}, ${limits.msCorner} allowed`] : []),
    ...(slow ? [`${slowest.settlingTimeS === null ? 'the speed does not settle' : `settling takes ${formatNumber(slowest.settlingTimeS, 's')} s`} (${at(slowest.run)}), ${limits.settlingS} s allowed`] : []),
    ...(limits.huntingRpm !== null && (hunting?.huntingRpm ?? 0) > limits.huntingRpm ? [`hunting of ${formatNumber(hunting?.huntingRpm as number, 'rpm')} rpm (${at(hunting?.run as number)}), ${limits.huntingRpm} rpm allowed`] : []),
  ];
}

const gains = (result: TuneResult, stage: TuneStage, judged: Judged): string =>
  stage.variables.map(({ key, unit }) => `${shortKey(key)} ${gainText(judged.values[result.keys.indexOf(key)] as number)}${unit === '' ? '' : ` ${unit}`}`).join(', ');

/** Whether everything asked is kept; the first thing to read. */
export function tuneVerdict(result: TuneResult): string {
  const stage = stageOf(result);
  const judged = stage.best?.judged ?? null;
  if (judged === null) return 'No set of gains tried gets through every drill without a stall';
  const broken = brokenLimits(result, judged);
  const where = stage.best?.everywhere === true ? `on ${plural(result.corners.length, 'engine')} × ${plural(result.drills.length, 'drill')}` : 'on the drills and engines searched on, not proven on the others';
  return broken.length === 0 ? `Tuned: every limit is kept ${where}, worst-case score ${score(judged.finish?.score as number)}` : `Not all limits can be kept by what was tried; the best falls short: ${broken.join('; ')}`;
}

/** Air alone against spark trim. */
function sparkWords(result: TuneResult): readonly string[] {
  const { air, spark, noSpark, answer } = result;
  const alone = air.best?.judged ?? null;
  const shortOf = (judged: Judged): string => {
    const broken = brokenLimits(result, judged);
    return broken.length === 0 ? `keeps every limit, worst-case score ${score(judged.finish?.score as number)}` : `cannot hold it all: ${broken.join('; ')}; worst-case score ${score(judged.finish?.score as number)}`;
  };
  const told = alone === null ? ['Air alone stalls in a drill whatever its gains.'] : [`Air alone, at its best (${gains(result, air, alone)}), ${shortOf(alone)}.`];
  if (spark === null) return [...told, ...(noSpark === null ? [] : [`Spark was not tuned: ${noSpark}.`])];
  const with_ = spark.best?.judged ?? null;
  if (with_ === null) return [...told, 'Spark trim does not save it: it stalls as well.'];
  return [...told, `With spark trim ${answer === 'spark' ? '' : `(${gains(result, spark, with_)}) `}it ${shortOf(with_)}.`, ...leaning(result)];
}

/** Tuned air gains that do not stand by themselves. */
function leaning({ answer, limits, margins: { withoutSpark }, msWithoutSpark }: TuneResult): readonly string[] {
  if (answer !== 'spark' || withoutSpark === null || msWithoutSpark === null) return [];
  const nominal = withoutSpark.stable === true ? (withoutSpark.worstMs ?? Number.POSITIVE_INFINITY) : Number.POSITIVE_INFINITY;
  if (nominal <= limits.msNominal && msWithoutSpark <= limits.msCorner) return [];
  const alone = Number.isFinite(nominal) ? `ring (Ms ${over(nominal, limits.msNominal)})` : 'hunt';
  return [`These air gains lean on the trim: where it is off or used up they ${alone}. --air-only gives gains that stand by themselves.`];
}

/** Which engine decides the score, and which limit is nearest. */
function deciding(result: TuneResult, judged: Judged): string {
  const { corners, drills, limits, settles } = result;
  const runs = judged.finish?.runs ?? [];
  const mean = (corner: number): number => {
    const of = runs.filter(({ run }) => Math.floor(run / drills.length) === corner);
    return of.reduce((sum, run) => sum + run.score, 0) / of.length;
  };
  const ranked = [...new Set(runs.map(({ run }) => Math.floor(run / drills.length)))].sort((a, b) => mean(b) - mean(a));
  const worst = ranked[0] ?? 0;
  const [run] = runs.filter((each) => Math.floor(each.run / drills.length) === worst).sort((a, b) => b.score - a.score);
  const settling = Math.max(0, ...runs.filter((each) => settles[each.run % drills.length] === true).map((each) => each.settlingTimeS ?? 0));
  const used: readonly (readonly [string, number])[] = [
    ['Ms as described', judged.msNominal / limits.msNominal], ...(judged.msCorner === 0 ? [] : [[`Ms at ${corners[judged.msCorner]}`, judged.msWorst / limits.msCorner] as const]),
    ...(limits.settlingS === null ? [] : [['settling', settling / limits.settlingS] as const]),
  ];
  const nearest = [...used].sort((a, b) => b[1] - a[1])[0] as readonly [string, number];
  const decides = corners.length === 1 ? 'Only the engine as described was looked at.' : `The corner that decides the score is ${corners[worst]} (${score(mean(worst))}; as described ${score(mean(0))}), most of it in ${drills[(run?.run ?? 0) % drills.length]}.`;
  return `${decides} The limit that binds first is ${nearest[0]}, at ${Math.round(100 * nearest[1])} % of what is allowed.`;
}

/** How the spark stands beside a rule, in words. */
const BESIDE: Readonly<Record<RateFrom, string>> = { 'this file': 'with the spark as in this file', SIMC: 'with SIMC’s spark rate', tuned: 'at the tuned spark rate' };

/** Against the best rule that keeps the limits with the same actuators, for each spark rate that a rule may stand beside. */
function ruleWords({ rules, keys }: TuneResult, judged: Judged): readonly string[] {
  const tuned = judged.finish?.score as number;
  const trimmed = (judged.values[keys.indexOf('controller.spark.rate')] as number) > 0;
  const scoreOf = (rule: RuleStanding): number => rule.judged?.finish?.score as number;
  return [...new Set(rules.map(({ rateFrom }) => rateFrom))].map((from) => {
    const these = rules.filter(({ rateFrom }) => rateFrom === from);
    const [best] = these.filter((rule) => rule.judged?.holds === true).sort((a, b) => scoreOf(a) - scoreOf(b));
    const rate = these[0]?.rate as number;
    const where = !trimmed && from === 'tuned' ? '' : ` ${BESIDE[from]}${rate === 0 ? ' (no trim)' : ` (${gainText(rate)} deg/rpm)`}`;
    if (best === undefined) return `No published rule${where} keeps the limits on every engine and drill.`;
    return `The best rule${where} that keeps the limits is ${best.row.name}, worst-case score ${score(scoreOf(best))}; tuned is ${((100 * tuned) / scoreOf(best)).toFixed(0)} % of that.`;
  });
}

function integralWords({ integralOnly }: TuneResult): readonly string[] {
  if (integralOnly === null) return [];
  const { judged, beside } = integralOnly;
  if (judged === null) return ['On integral alone every set tried stalls.'];
  const [alone, all] = [judged.finish?.score as number, beside.finish?.score as number];
  const kept = judged.holds ? 'keeps the limits' : 'does not keep the limits';
  return [`On integral alone, on the engines and drills searched on, the best ${kept} and scores ${score(alone)} where all terms score ${score(all)}${alone > all ? `: it would cost ${score(alone - all)}` : ''}.`];
}

/** Why these gains, in plain words. */
function reason(result: TuneResult, judged: Judged): string {
  const { keys, answer, stepper, limits } = result;
  const value = (key: string): number => judged.values[keys.indexOf(key)] as number;
  const [kp, ki, kd, rate] = [value('controller.pid.kp'), value('controller.pid.ki'), value('controller.pid.kd'), value('controller.spark.rate')];
  const parts = [
    ki > 0 && (kp > 0 || kd > 0) ? 'The integral carries the steady load; the proportional part answers at once, and as far as the delay from air to torque allows' : 'The integral alone carries every load, slowly enough not to overtake the delay from air to torque',
    ...(kd > 0 ? ['the derivative leans against a speed that falls before it has fallen far'] : []),
    ...(answer === 'spark' && rate > 0 ? ['the spark trim acts a firing after the error is seen, where air must fill the manifold first, so it damps the swing and lets the air gains be what the load needs'] : []),
    ...(stepper ? [kp > 0 || kd > 0 ? 'whole steps swing by themselves where the dead band is too narrow for them' : 'a stepper is set on its integral by custom (--terms pi or pid asks for more)'] : []),
  ];
  return `Why: ${parts.join('; ')}. More gain would ring (Ms is held to ${limits.msNominal}, ${limits.msCorner} on a different engine); less would leave the speed down for longer.`;
}

/** @returns sentences, the verdict first */
export function tuneWords(result: TuneResult): readonly string[] {
  const judged = stageOf(result).best?.judged ?? null;
  const { spent, searched, corners, drills } = result;
  const on = searched.corners.length * searched.drills.length;
  const all = corners.length * drills.length;
  return [
    ...(result.margins.before.engineUnstablePoles > 0 ? ['The engine alone is unstable at this idle: left to itself it swings, and the swing grows. Only the loop holds it, so too little gain is as bad as too much.'] : []),
    ...sparkWords(result),
    ...(judged === null ? [] : [deciding(result, judged), ...ruleWords(result, judged), ...integralWords(result), reason(result, judged)]),
    `Spent: ${plural(spent.sets, 'set')} of gains, ${plural(spent.runs, 'run')}, ${formatNumber(Math.round(spent.simulatedS))} simulated seconds${on < all ? `; searched on ${on} of ${all} runs, the ones that decide, and proven on all` : ''}.`,
  ];
}
