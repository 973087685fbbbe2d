/** Torque against mixture beside torque against air, for a terminal. */
import { type MixtureAnswer, REGRESSION_STOICHIOMETRIC, RICHEST_OF_SOURCE } from '../setup/mixture.js';
import { curveChart } from './curve-chart.js';
import { formatNumber, signed } from './numbers.js';
import { table } from './table.js';
import { clean, wrap } from './text.js';

export interface MixtureLayout {
  readonly columns: number;
  readonly rows: number;
  readonly colour: boolean;
}

const N_M = 'N·m';
/** Two decimals: for lambda, and for the torque of a mixture, which is small. */
const fine = (value: number): string => value.toFixed(2).replace('-', '−');
/** Rows that are not charts, about. */
const OTHER_ROWS = 24;
const LEAST_ROWS = 8;
const MOST_ROWS = 14;

/** What a torque covers of a load, in percent: more than all of it is all of it. */
const covers = (adds: number, load: number): string => (load <= 0 || adds >= load ? 'all' : `${formatNumber(Math.max(0, (100 * adds) / load), '%')} %`);

export function mixturePage(answer: MixtureAnswer, { columns, rows, colour }: MixtureLayout): readonly string[] {
  const { idle, airUnit, lambdaRange, byMixture, byAir, published, mixture, publishedMost, airAddsNm, airTakesNm, loads } = answer;
  const [low, high] = lambdaRange;
  const regression = idle.indicatedNm === null;
  const air = (value: number): string => `${formatNumber(value, airUnit)} ${airUnit === '%' ? '%' : 'steps'}`;
  const plotRows = Math.max(LEAST_ROWS, Math.min(MOST_ROWS, Math.floor((rows - OTHER_ROWS) / 2)));
  const say = (text: string): readonly string[] => wrap(clean(text), columns, 2);
  const share = idle.indicatedNm === null ? '' : `, ${formatNumber((100 * mixture.addsNm) / idle.indicatedNm, '%')} % of what burns there`;
  return [
    ...say(
      `Idle held at λ 1: ${formatNumber(idle.rpm, 'rpm')} rpm, coolant ${idle.coolantC} °C, spark ${formatNumber(idle.sparkDeg, '°BTDC')} °BTDC, ` +
      `manifold ${formatNumber(idle.mapKpa, 'kPa')} kPa, valve at ${air(idle.air)}` +
      (idle.indicatedNm === null ? '' : `, ${formatNumber(idle.indicatedNm, N_M)} N·m indicated`),
    ),
    ...(answer.flag === null ? [] : say(`FLAGGED: ${answer.flag}.`)),
    '',
    ...curveChart({
      title: `change of torque, N·m, by mixture: the air held, λ ${fine(low)} … ${fine(high)}`, along: 'λ (rich … lean)', columns, rows: plotRows, colour,
      lines: [
        { name: 'this engine', x: byMixture.x, y: byMixture.changeNm },
        ...(regression ? [] : [{ name: 'published', x: published.x, y: published.changeNm, glyph: 'dashed' as const }]),
      ],
    }),
    '',
    ...curveChart({
      title: 'change of torque, N·m, by air: λ 1 held, valve shut … full', along: airUnit === '%' ? '%' : 'steps', columns, rows: plotRows, colour,
      lines: [
        { name: 'by air', x: byAir.x, y: byAir.changeNm },
        { name: 'mixture’s most', x: byAir.x, y: byAir.x.map(() => mixture.addsNm), glyph: 'points' },
      ],
    }),
    '',
    ...say(
      `Mixture adds ${fine(mixture.addsNm)} N·m at most, at λ ${fine(mixture.at)}${share}; the full valve adds ${formatNumber(airAddsNm, N_M)} N·m, ` +
      `the shut one ${signed(airTakesNm, N_M)}.` +
      (answer.worthOfAir === null ? '' : ` All that mixture can add is ${air(answer.worthOfAir)} of air.`),
    ),
    '',
    ...loadTable(answer, columns, colour),
    ...(regression ? [] : say(`Published: the regression of Crossley and Cook (1991): ${fine(publishedMost.addsNm)} N·m at most, at λ ${fine(publishedMost.at)} of its own ${REGRESSION_STOICHIOMETRIC} air to fuel, whatever its speed and charge.`)),
    ...(low < RICHEST_OF_SOURCE && !regression ? say(`Richer than λ ${fine(RICHEST_OF_SOURCE)} the source of this engine’s curve ends, and the torque is held: an engine loses there.`) : []),
    ...say('So fuel does not hold an idle: from λ 1 it adds little, past its highest point more fuel is less torque, and a catalyst wants λ 1 (common practice). Air goes both ways.'),
    ...(loads.length === 0 ? say('No drill switches a load.') : []),
    '',
  ];
}

function loadTable({ loads, mixture, airAddsNm }: MixtureAnswer, columns: number, colour: boolean): readonly string[] {
  if (loads.length === 0) return [];
  const rows = loads.map(({ name, torqueNm }) => [name, formatNumber(torqueNm, N_M), covers(mixture.addsNm, torqueNm), covers(airAddsNm, torqueNm)]);
  return [...table({ heads: [{ head: 'load', names: true, align: 'left' }, { head: 'takes', unit: N_M }, { head: 'mixture covers' }, { head: 'air covers' }], rows, columns, colour }), ''];
}
