/**
 * From a log to what a fit can use: the stretches in which the engine runs, nothing unknown drives it, and every input of the
 * model is known. A log in which no spark-ignition engine idles is refused, with why.
 */
import type { EngineSettings } from '../../plant/engine.js';
import type { ValveRange } from '../../plant/types.js';
import { type ChannelName, type Gap, type Log, resample, type ResampledColumn } from '../log/index.js';
import type { FitRecording, FitStretch } from './recording.js';

/** Why a log cannot be fitted. */
export class UnusableLog extends Error {}

export interface UsableOptions {
  readonly engine: EngineSettings;
  readonly valve: ValveRange;
  /** Spark where the log has none, rad before top dead centre. */
  readonly spark: number;
  /** Period of the grid, s; that of the speed, 0.05 … 0.5, when not given. */
  readonly periodS?: number;
}

const RPM = Math.PI / 30;
const ZERO_C = 273.15;
const FINEST_S = 0.05;
const COARSEST_S = 0.5;
/** A running engine. Common practice, no source: a starter turns it at 150 to 250. */
const RUNS_RPM = 400;
/** Time that a fresh start is left alone: enrichment and flare of a start are not in the model. */
const AFTER_START_S = 4;
const SHORTEST_S = 6;
/** Below this the vehicle stands. */
const STANDS_KMH = 1;
/** An idle: throttle shut, speed below this and hardly moving for this long. */
const IDLE_BELOW_RPM = 2000;
const IDLE_S = 3;
const IDLE_SPREAD_RPM = 200;
/** A throttled engine idles well below the ambient; above this share nothing throttles it. */
const UNTHROTTLED = 0.88;
/** Throttle readings this near to the shut one are shut, %. */
const SHUT_PCT = 1.5;
const WARM_C = 90;
const SUPPLY_V = 14;

export function periodFor(log: Log): number {
  const speed = log.report.channels.find(({ name }) => name === 'speed');
  const own = speed?.refreshS ?? speed?.periodS ?? log.report.time.periodS;
  return Math.min(COARSEST_S, Math.max(FINEST_S, Number(own.toPrecision(3))));
}

const constant = (rows: number, value: number): Float64Array => new Float64Array(rows).fill(value);

/** The oil of an engine that warms up follows the coolant with its time constant; else it is as warm. */
function oilOf(coolant: Float64Array, engine: EngineSettings, periodS: number): Float64Array {
  if (engine.warmUp.is === 'off') return coolant;
  const keep = Math.exp(-periodS / engine.warmUp.oilTime);
  const oil = coolant.slice();
  for (let k = 1; k < oil.length; k++) oil[k] = coolant[k]! + (oil[k - 1]! - coolant[k]!) * keep;
  return oil;
}

type Column = (name: ChannelName) => ResampledColumn | undefined;

/** Rows in which the engine runs by itself and everything is known; why not, elsewhere. */
function verdicts(column: Column, needed: readonly ChannelName[], periodS: number): (string | null)[] {
  const speed = column('speed')!.values;
  const [vss, clutch] = [column('vss')?.values, column('clutch')?.values];
  const afterStart = Math.ceil(AFTER_START_S / periodS);
  let since = Number.POSITIVE_INFINITY;
  return Array.from(speed, (rpm, k): string | null => {
    if (!(rpm >= RUNS_RPM)) {
      since = 0;
      return `the engine does not run, or is being started (below ${RUNS_RPM} rpm)`;
    }
    since++;
    if (since < afterStart) return `the first ${AFTER_START_S} s after a start`;
    const blind = needed.find((name) => column(name)?.known?.[k] === 0);
    if (blind !== undefined) return `${blind} is not known there`;
    // neither gear nor slip is logged: only a pressed clutch says that a moving car does not drive the engine
    if (vss !== undefined && (vss[k] as number) > STANDS_KMH && !(clutch !== undefined && clutch[k] === 1)) return 'the car moves and may drive the engine';
    return null;
  });
}

/** Whether the speed rests somewhere below 2000 rpm with the throttle shut. */
function idles(stretches: readonly FitStretch[], periodS: number): boolean {
  const window = Math.ceil(IDLE_S / periodS);
  return stretches.some(({ speed, pedal, rows }) => {
    let quiet = 0;
    let [low, high] = [Infinity, -Infinity];
    for (let k = 0; k < rows; k++) {
      const rpm = speed[k]! / RPM;
      [low, high] = [Math.min(low, rpm), Math.max(high, rpm)];
      if (pedal[k]! > 0 || rpm > IDLE_BELOW_RPM || high - low > IDLE_SPREAD_RPM) [quiet, low, high] = [0, rpm, rpm];
      else if (++quiet >= window) return true;
    }
    return false;
  });
}

const median = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN;

/** @throws UnusableLog when the log holds nothing that can be fitted */
export function usable(log: Log, { engine, valve, spark, periodS = periodFor(log) }: UsableOptions): FitRecording {
  const names = [...log.channels.keys()];
  const has = (name: ChannelName): boolean => log.channels.has(name);
  const report = (name: ChannelName) => log.report.channels.find((c) => c.name === name);
  if (report('speed')?.constant === true) throw new UnusableLog(`the speed never moves: it is ${report('speed')?.lowest} rpm throughout; is it the right column?`);
  if (!has('air') && !has('map')) throw new UnusableLog('neither the command to the air valve nor the manifold pressure is in the log: with neither, nothing says how much air the engine was given. Give --map air=COLUMN or --map map=COLUMN');
  const air = log.channels.get('air');
  if (air !== undefined) {
    if (air.unit !== '' && air.unit !== valve.unit) throw new UnusableLog(`air is in ${air.unit === '%' ? '%' : 'steps'}, and the valve takes ${valve.unit === '%' ? '%' : 'steps'}: give the valve that the car has, or the unit: --map air=COLUMN [${valve.unit === '%' ? '%' : 'step'}]`);
    const [low, high] = [report('air')!.lowest, report('air')!.highest];
    if (high > 1.001 * valve.full || low < -0.001 * valve.full) throw new UnusableLog(`air goes from ${low} to ${high}, and the valve from 0 to ${valve.full} ${valve.unit}`);
  }
  const notes: string[] = [];
  const loadNames = names.flatMap((name) => (name.startsWith('load:') ? [name.slice(5)] : []));
  const needed: ChannelName[] = ['speed', ...(['air', 'map', 'spark', 'throttle', 'coolant', 'supply', 'vss', 'clutch'] as const).filter(has), ...names.filter((name) => name.startsWith('load:'))];
  const say = (name: ChannelName, text: string): void => {
    if (!has(name)) notes.push(`${name} is not logged: ${text}`);
  };
  say('spark', `taken for ${Number(((spark * 180) / Math.PI).toPrecision(3))} degrees throughout`);
  say('throttle', 'taken for shut throughout');
  say('coolant', `taken for ${WARM_C} °C throughout`);
  say('vss', 'the car is taken to stand, out of gear');
  const { stretches, left } = resample(log, periodS, { shortestS: SHORTEST_S });
  const shut = log.report.closedThrottlePct ?? 0;
  const gone: (Gap & { because: string })[] = left.map((l) => ({ ...l }));
  const found: FitStretch[] = [];
  for (const stretch of stretches) {
    const column: Column = (name) => stretch.columns.get(name);
    const said = verdicts(column, needed, periodS);
    for (let from = 0; from < stretch.rows; ) {
      let to = from;
      while (to < stretch.rows && said[to] === said[from]) to++;
      const at = (k: number): number => stretch.startS + k * periodS;
      const because = said[from] ?? ((to - from) * periodS < SHORTEST_S ? `shorter than ${SHORTEST_S} s` : null);
      if (because !== null) gone.push({ fromS: at(from), toS: at(to), because });
      else {
        const rows = to - from;
        const values = (name: ChannelName, slope: number, offset: number): Float64Array | null => column(name)?.values.slice(from, to).map((v) => v * slope + offset) ?? null;
        const coolant = values('coolant', 1, ZERO_C) ?? constant(rows, WARM_C + ZERO_C);
        const pedal = values('throttle', 1, -shut)?.map((v) => (v < SHUT_PCT ? 0 : Math.min(1, v / Math.max(1, 100 - shut)))) ?? constant(rows, 0);
        found.push({
          startS: at(from), rows,
          speed: values('speed', RPM, 0)!, pressure: values('map', 1e3, 0), air: values('air', 1 / valve.full, 0)?.map((v) => Math.min(1, Math.max(0, v))) ?? null,
          spark: values('spark', Math.PI / 180, 0) ?? constant(rows, spark), pedal, coolant, oil: oilOf(coolant, engine, periodS),
          supply: values('supply', 1, 0) ?? constant(rows, SUPPLY_V),
          vehicle: values('vss', 1 / 3.6, 0),
          loads: loadNames.map((name) => values(`load:${name}`, 1, 0)!.map((v) => (v > 0 ? 1 : 0))),
        });
      }
      from = to;
    }
  }
  const total = found.reduce((sum, { rows }) => sum + rows, 0);
  if (total === 0) throw new UnusableLog(`nothing in it can be fitted: ${reasons(gone)}`);
  if (!idles(found, periodS)) throw new UnusableLog(`no idle is in it: nowhere does the speed stay within ${IDLE_SPREAD_RPM} rpm below ${IDLE_BELOW_RPM} rpm for ${IDLE_S} s with the throttle shut`);
  if (has('map')) {
    const ambient = engine.ambient.pressure ?? 101_325;
    const shutAt = found.flatMap(({ pressure, pedal, speed }) => Array.from(pressure!).filter((_, k) => pedal[k] === 0 && speed[k]! < IDLE_BELOW_RPM * RPM));
    const middle = median(shutAt);
    if (middle > UNTHROTTLED * ambient) throw new UnusableLog(`the manifold stands at ${(middle / 1e3).toFixed(1)} kPa at idle, nearly the open air: nothing throttles this engine, as in a diesel, or the column is not the manifold pressure (or its unit: --map map=COLUMN [kPa])`);
  }
  const steady = (name: ChannelName): boolean => report(name)?.constant === true;
  if (steady('map')) throw new UnusableLog('the manifold pressure never moves: give another column, or leave it out');
  return {
    periodS, stretches: found, loadNames, left: gone, notes,
    has: { air: has('air'), pressure: has('map'), spark: has('spark') && !steady('spark'), coolant: has('coolant'), throttle: has('throttle'), supply: has('supply') },
  };
}

/** What was left out, longest first, in words. */
function reasons(gone: readonly (Gap & { readonly because: string })[]): string {
  const by = new Map<string, number>();
  for (const { fromS, toS, because } of gone) by.set(because, (by.get(because) ?? 0) + toS - fromS);
  return [...by].sort((a, b) => b[1] - a[1]).map(([because, s]) => `${because} (${s.toFixed(0)} s)`).slice(0, 4).join('; ');
}
