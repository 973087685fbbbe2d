/** Pages of `tickover rules`: the plant as the air loop sees it, and every rule side by side. */
import type { DelayFit, IntegratingProcess, LagProcess } from '../linear/index.js';
import type { Fitted, ProcessSeen } from '../search/tune/process.js';
import type { RulesResult, RuleTried } from '../search/tune/rules.js';
import type { SheetSettings } from '../scenario/sheet.js';
import type { Layout } from './chart.js';
import { threeDigits } from './margins.js';
import { formatNumber, plural } from './numbers.js';
import { table, type TableCell, type TableHead } from './table.js';

export type GainScale = SheetSettings['gainScale'];
export type AirUnit = '%' | 'step';

const three = (value: number): string => String(Number(value.toPrecision(3))).replace('-', '−').replace('e-', 'e−');
export const gainText = (value: number): string => three(value);

/** Units of the gains, in the unit of the valve. */
export const gainUnits = (unit: AirUnit) => ({ kp: `${unit}/rpm`, ki: `${unit}/(rpm·s)`, kd: `${unit}·s/rpm` }) as const;

/** Whether the reader has numbers of their own for gains. */
export const isScaled = (scale: GainScale): boolean => scale.kp !== null || scale.ki !== null || scale.kd !== null;

const seconds = (value: number): string => `${three(value)} s`;

function fitCells(fit: Fitted<LagProcess> | Fitted<IntegratingProcess>): TableCell[] {
  if ('reason' in fit) return ['gain', 'lags', 'delay', 'off'].map(() => ({ absent: fit.reason }));
  const { model, magnitudePct, phaseDeg } = fit as DelayFit<LagProcess | IntegratingProcess>;
  const lags = model.kind === 'lag' ? [model.lagS, model.secondLagS] : [model.secondLagS];
  return [
    model.kind === 'lag' ? three(model.gain) : `${three(model.slope)}/s`,
    lags.filter((lag) => lag > 0).map(seconds).join(', ') || 'none',
    seconds(model.delayS),
    `${formatNumber(Number(magnitudePct.toPrecision(2)))} %, ${formatNumber(Number(phaseDeg.toPrecision(2)))}°`,
  ];
}

/** The fits and the two ultimate points, side by side. @param unit of the air command */
export function processTables(seen: ProcessSeen, unit: AirUnit, layout: Pick<Layout, 'columns' | 'colour'>): readonly string[] {
  const { first, second, integrating, ultimate, relay } = seen;
  const fits = table({
    ...layout,
    heads: [{ head: 'model', align: 'left', names: true }, { head: 'gain', unit: `rpm/${unit}` }, { head: 'lags' }, { head: 'delay' }, { head: 'off by at most' }],
    rows: [['one lag', ...fitCells(first)], ['two lags', ...fitCells(second)], ['integrator', ...fitCells(integrating)]],
  });
  const absent = (reason: string | null | undefined): TableCell => ({ absent: reason ?? 'the linear loop has none' });
  const { point } = ultimate;
  const points = table({
    ...layout,
    heads: [{ head: 'ultimate point', align: 'left', names: true }, { head: 'gain', unit: `${unit}/rpm` }, { head: 'period', unit: 's' }],
    rows: [
      ['linear loop', ...(point === null ? [absent(ultimate.reason), absent(ultimate.reason)] : [three(point.gain), three(point.periodS)])],
      ['relay, simulated', ...(relay?.gain == null || relay.periodS === null ? [absent(relay === null ? ultimate.reason : relay.reason), absent(relay === null ? ultimate.reason : relay.reason)] : [three(relay.gain), three(relay.periodS)])],
    ],
  });
  return [...fits, '', ...points];
}

/** What the relay did, in words. */
export function relayLine({ relay, ultimate: { point } }: ProcessSeen, unit: AirUnit): readonly string[] {
  if (relay === null) return [];
  if (relay.gain === null || relay.swing === null || point === null) return [`Relay: ${relay.reason ?? 'no swing'}.`];
  const off = 100 * (relay.gain / point.gain - 1);
  return [
    `Relay: ±${three(relay.amplitude)} ${unit === 'step' ? 'steps' : unit} of air swings the simulated engine by ±${three(relay.swing)} rpm; its gain, taken from that as if it were a sine, is ${formatNumber(Math.abs(Math.round(off)))} % ${off < 0 ? 'below' : 'above'} the linear loop’s.`,
  ];
}

const absentIn = (reason: string): TableCell => ({ absent: reason });

function marginCells({ margins }: RuleTried): TableCell[] {
  const loop = margins?.loops.airBreak ?? margins?.loops.air ?? null;
  if (margins === null || loop === null) return [0, 1, 2, 3].map(() => absentIn('no air loop'));
  if (margins.stable !== true) return [0, 1, 2, 3].map(() => absentIn('unstable'));
  const cell = (value: number | null, write: (value: number) => string): TableCell => (value === null ? absentIn('without end') : write(value));
  return [
    cell(loop.gainMargin, threeDigits), cell(loop.phaseMarginDeg, (value) => formatNumber(Math.round(value))),
    cell(loop.delayMarginS, (value) => formatNumber(Math.round(1e3 * value))), cell(margins.worstMs, threeDigits),
  ];
}

function drillCells({ outcome }: RuleTried): TableCell[] {
  if (outcome === null || outcome.score === null) return [0, 1, 2, 3].map(() => absentIn(outcome?.reason ?? 'not run'));
  const { score, sagRpm, settlingTimeS, stalled, reasons } = outcome;
  return [
    formatNumber(score, 'score'),
    sagRpm === null ? absentIn(reasons.sagRpm ?? 'absent') : formatNumber(sagRpm, 'rpm'),
    settlingTimeS === null ? absentIn(stalled ? 'stalls' : 'a drill does not settle') : formatNumber(settlingTimeS, 's'),
    stalled ? 'yes' : 'no',
  ];
}

/** One row a rule that applies. */
export function rulesTable({ tried }: RulesResult, unit: AirUnit, scale: GainScale, layout: Pick<Layout, 'columns' | 'colour'>): readonly string[] {
  const units = gainUnits(unit);
  const scaled = isScaled(scale);
  const heads: TableHead[] = [
    { head: 'rule', align: 'left', names: true },
    { head: 'kp', unit: units.kp, part: 0 }, { head: 'ki', unit: units.ki, part: 0 }, { head: 'kd', unit: units.kd, part: 0 },
    ...(scaled ? (['kp', 'ki', 'kd'] as const).map((key): TableHead => ({ head: `your ${key}`, part: 0 })) : []),
    { head: 'gain margin', unit: '×', part: 1 }, { head: 'phase margin', unit: '°', part: 1 }, { head: 'delay margin', unit: 'ms', part: 1 }, { head: 'Ms', part: 1 },
    { head: 'score', part: 2 }, { head: 'worst sag', unit: 'rpm', part: 2 }, { head: 'settling', unit: 's', part: 2 }, { head: 'stalls', part: 2 },
  ];
  const rows = tried.filter(({ row }) => row.gains !== null).map((each): TableCell[] => {
    const gains = each.row.gains as { kp: number; ki: number; kd: number };
    return [
      each.row.name, three(gains.kp), three(gains.ki), three(gains.kd),
      ...(scaled ? (['kp', 'ki', 'kd'] as const).map((key): TableCell => (scale[key] === null ? absentIn('no scale given') : three(gains[key] * scale[key]))) : []),
      ...marginCells(each), ...drillCells(each),
    ];
  });
  return table({ ...layout, heads, rows });
}

/** Which rules do not apply, and which does best of those that hold. */
export function rulesWords({ tried, drills, seen }: RulesResult): readonly string[] {
  const refused = tried.filter(({ row }) => row.gains === null);
  const able = tried.slice(1).filter(({ outcome, margins }) => outcome !== null && outcome.score !== null && !outcome.stalled && margins?.stable === true);
  const best = able.reduce<RuleTried | null>((a, b) => (a === null || (b.outcome?.score as number) < (a.outcome?.score as number) ? b : a), null);
  const robust = able.filter(({ margins }) => (margins?.worstMs ?? Number.POSITIVE_INFINITY) <= 1.6);
  const calm = robust.reduce<RuleTried | null>((a, b) => (a === null || (b.outcome?.score as number) < (a.outcome?.score as number) ? b : a), null);
  const notes = [seen.first, seen.second, seen.integrating].flatMap((fit) => ('note' in fit && fit.note !== null ? [`Note: ${fit.note}.`] : []));
  const reasons = [...new Set(refused.map(({ row }) => row.reason))];
  return [
    ...reasons.map((reason) => {
      const names = refused.filter(({ row }) => row.reason === reason).map(({ row }) => row.name);
      if (names.length === tried.length - 1) return `None of the rules applies: ${reason}.`;
      return `${names.join(', ')} ${names.length === 1 ? 'does' : 'do'} not apply: ${reason}.`;
    }),
    ...notes,
    ...(best === null ? (refused.length === tried.length - 1 ? [] : ['No rule gives a stable loop that holds the engine in every drill.']) : [`Best score of the rules on ${plural(drills.length, 'drill')}: ${best.row.name}.`]),
    ...(calm !== null && calm !== best ? [`Best of those with Ms up to 1.6: ${calm.row.name}.`] : calm === null && best !== null ? ['None of them keeps Ms to 1.6, which leaves room for an engine other than described.'] : []),
    seen.unstable === null
      ? 'Rules are made for one loop about one point. They know nothing of limits, entry or stalls: tickover tune starts from them.'
      : 'Rules are made from a plant that holds itself. Look at that first: tickover margins shows how fast the swing grows, and tickover margins --spark-limit how much spark trim there may be.',
  ];
}
