/** A fit, for a terminal and for the head of an engine file. */
import type { EngineFit, FitRecording, Told } from '../identify/fit/index.js';
import type { Experiment } from '../identify/fit/experiment.js';
import { chart, type Layout } from './chart.js';
import { formatNumber, plural, seconds } from './numbers.js';
import { table } from './table.js';
import { clean, wrap } from './text.js';

/** Below this a number is told with its exponent, which is shorter. */
const SMALL = 1e-4;
const digits = (value: number): string => (value !== 0 && Math.abs(value) < SMALL ? Number(value.toPrecision(4)).toExponential() : String(Number(value.toPrecision(4)))).replace(/^-/, '−').replace('e-', 'e−');
const three = (value: number): string => digits(Number(value.toPrecision(3)));
const VERDICTS: Readonly<Record<Told['verdict'], string>> = { pinned: 'pinned', told: 'loosely', prior: 'NOT TOLD', held: 'held' };

/** `0.1515 kg m^2, 0.1501 … 0.1529`. */
export const toldText = ({ name, key, unit, value, low, high, verdict, reason }: Told): string =>
  `${name} (${key}): ${digits(value)}${unit === '' ? '' : ` ${unit}`}` +
  (low === null || high === null ? `, ${VERDICTS[verdict]}: ${reason}` : `, 95 % interval ${digits(low)} … ${digits(high)}${verdict === 'prior' ? ', not told by the log' : ''}`);

/** What was read and left out. */
export function recordingLines(recording: FitRecording, columns: number): readonly string[] {
  const say = (text: string): readonly string[] => wrap(clean(text), columns, 2);
  const by = new Map<string, number>();
  for (const { fromS, toS, because } of recording.left) by.set(because, (by.get(because) ?? 0) + toS - fromS);
  const used = recording.stretches.reduce((sum, { rows }) => sum + rows * recording.periodS, 0);
  return [
    ...say(`${seconds(used)} used in ${plural(recording.stretches.length, 'stretch', 'stretches')}, a row each ${seconds(recording.periodS)}.`),
    ...[...by].sort((a, b) => b[1] - a[1]).flatMap(([because, s]) => say(`Left out, ${seconds(s)}: ${because}.`)),
    ...recording.notes.flatMap((note) => say(`Note: ${note}.`)),
  ];
}

function parameterTable(fit: EngineFit, { columns, colour }: Layout): readonly string[] {
  const rows = fit.told.map((told) => [
    told.name, three(told.prior), digits(told.value),
    told.low === null || told.high === null ? '' : (three(told.low) === three(told.high) ? `${digits(told.low)} … ${digits(told.high)}` : `${three(told.low)} … ${three(told.high)}`),
    told.unit, VERDICTS[told.verdict],
  ]);
  return table({
    heads: [{ head: '', names: true, align: 'left' }, { head: 'file' }, { head: 'fitted' }, { head: 'interval' }, { head: 'unit', align: 'left' }, { head: '', align: 'left' }],
    rows, columns, colour,
  });
}

export function fitPage(fit: EngineFit, experiments: readonly Experiment[], layout: Layout): readonly string[] {
  const { columns, colour } = layout;
  const say = (text: string): readonly string[] => wrap(clean(text), columns, 2);
  const rpm = (value: number | null): string => (value === null ? 'none there' : `${formatNumber(value, 'rpm')} rpm`);
  const nameOf = (key: string): string => fit.told.find((t) => t.key === key)?.name ?? (key === 'engine.torque.efficiency' ? 'efficiency' : key === 'engine.charge.filling' ? 'filling' : key);
  const pairs = fit.told.flatMap((told, i) => told.goesWith.filter(({ key }) => fit.told.findIndex((t) => t.key === key) > i).map(({ key, correlation }) => `${told.name} with ${nameOf(key)} (${correlation.toFixed(2).replace('-', '−')})`));
  const silent = fit.told.filter(({ verdict }) => verdict === 'prior' || verdict === 'held');
  const shown = fit.heldOut ?? fit.fittedPart;
  const best = experiments.slice(0, 2);
  return [
    ...parameterTable(fit, layout), '',
    ...say('The interval is that of 95 %. pinned: within ±5 %, the log excites it well. loosely: the log takes three quarters or more off what was not known, but leaves more than ±5 %. NOT TOLD: about what the file says, whatever it is.'),
    ...say(`${fit.anchors.text}.`),
    ...fit.freedoms.slice(0, 3).flatMap(({ spread, moves }) => say(`With the anchors let go these would move together, by ±${spread > 5 ? 'any' : digits(Number((196 * spread).toPrecision(2)))} %, and only their ratios be told: ${moves.map(({ key, change }) => `${nameOf(key)} ${change > 0 ? '+' : '−'}${Math.abs(change).toFixed(1)}`).join(', ')} (in the logarithm).`)),
    ...silent.filter(({ reason }) => reason !== null && reason !== 'the anchor').flatMap(({ name, reason, verdict }) => say(`${verdict === 'held' ? 'Held' : 'Not told'}: ${name}: ${reason}.`)),
    ...(pairs.length === 0 ? [] : say(`Only together: ${pairs.join('; ')}. Each by itself may be off while the two make up for each other.`)),
    '',
    ...chart({
      title: fit.heldOut === null ? 'measured and simulated, the part that was fitted' : 'measured and simulated, the part held out', unit: 'rpm', timeS: shown.timeS, columns, colour,
      rows: Math.max(10, Math.min(18, layout.rows - 24)),
      series: [{ name: 'measured', values: shown.measuredRpm }, { name: 'simulated', values: shown.simulatedRpm, glyph: 'dashed' }],
    }),
    '',
    ...say(`Free run against the log, rms: fitted part ${rpm(fit.fittedPart.steadyRpm)} in steady idle, ${rpm(fit.fittedPart.eventsRpm)} through events; ` +
      (fit.heldOut === null ? 'nothing was held out.' : `held out ${rpm(fit.heldOut.steadyRpm)} in steady idle, ${rpm(fit.heldOut.eventsRpm)} through events.`)),
    ...say(fit.method === 'one step'
      ? 'Fitted on what comes one row later; intervals by the jackknife over blocks of two seconds.'
      : 'The one-step errors are not white, and the free run fits the log better by itself: this engine does something that the model does not. Fitted on the free run, with laws that may bend (spark of most torque, filling, plate, friction); take the intervals for what they would be if the model were right.'),
    ...(fit.whiteness === null ? [] : say(`One-step errors ${fit.whiteness.white ? 'look white' : 'are not white'} (Ljung and Box, p ${fit.whiteness.p < 0.001 ? 'below 0.001' : fit.whiteness.p.toFixed(3)})${fit.whiteness.white ? '.' : ': something in the log is not in the model; the intervals may be too narrow.'}`)),
    ...(fit.converged ? [] : say(`The fit did not converge (${fit.ended}): more of it may move the values.`)),
    ...(best.length === 0 ? [] : say(`Next, ${best.map(({ what, key, beforePct, afterPct }) => `${what}: ${nameOf(key)} from ±${digits(Number(beforePct.toPrecision(2)))} % to ±${digits(Number(afterPct.toPrecision(2)))} %`).join('; or ')}.`)),
  ];
}
