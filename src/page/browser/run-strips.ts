/** A run's columns as strips; others laid over its speed and air. */
import type { OpenStretch } from '../../loop/trace.js';
import type { Strip, StripLine } from './strips.js';
import type { Tone } from './look.js';

type Column = ArrayLike<number | null>;
export type Columns = Readonly<Record<string, Column>>;

export interface StripRun {
  readonly name: string;
  readonly timeS: ArrayLike<number>;
  readonly columns: Columns;
  readonly airUnit: string;
  readonly open: readonly OpenStretch[];
}

const line = (name: string, tone: Tone, values: Column | undefined): readonly StripLine[] => (values === undefined ? [] : [{ name, tone, values }]);

/** Whether a column has anything to show. */
const moves = (values: Column | undefined, least: number): boolean => {
  if (values === undefined) return false;
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let k = 0; k < values.length; k++) {
    const value = values[k];
    if (value == null) continue;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return high - low > least;
};

const isAbove = (values: Column | undefined, least: number): boolean => values !== undefined && Array.prototype.some.call(values, (value: number | null) => value !== null && Math.abs(value) > least);

/** Other runs on the same times: tones by turns. */
const OVER: readonly Tone[] = ['second', 'third', 'fourth', 'fifth'];
export interface OverRun {
  readonly name: string;
  readonly columns: Columns;
}

/** @param bench fewer and lower, for a run that moves */
export function stripsOf({ columns: c, airUnit }: StripRun, over: readonly OverRun[], bench = false): readonly Strip[] {
  const others = (column: string): readonly StripLine[] => over.flatMap(({ name, columns }, i) => line(name, bench ? 'ghost' : OVER[i % OVER.length]!, columns[column]));
  const torque: readonly StripLine[] = [
    ...line('indicated', 'speed', c.indicatedNm), ...line('friction', 'second', c.frictionNm), ...line('pumping', 'third', c.pumpingNm), ...line('loads', 'fourth', c.loadNm),
    ...(isAbove(c.clutchNm, 0.05) ? line('driveline', 'fifth', c.clutchNm) : []),
  ];
  return [
    { title: 'speed', unit: 'rpm', height: bench ? 200 : 230, lines: [...line('target', 'target', c.targetRpm), ...others('speedRpm'), ...line('speed', 'speed', c.speedRpm)] },
    { title: 'loop', unit: '', height: 34, lines: [] },
    { title: 'air command', unit: airUnit === 'step' ? 'steps' : airUnit, height: 120, lines: [...others('air'), ...line('command', 'speed', c.air)] },
    { title: 'opening', unit: '%', height: bench ? 90 : 110, lines: [...line('valve', 'speed', c.openingPct), ...(bench || isAbove(c.throttlePct, 0.01) ? line('throttle', 'second', c.throttlePct) : [])] },
    { title: 'manifold', unit: 'kPa', height: bench ? 90 : 110, lines: line('pressure', 'speed', c.mapKpa) },
    { title: 'torque', unit: 'N·m', height: bench ? 120 : 150, lines: torque },
    { title: 'spark', unit: '°BTDC', height: bench ? 90 : 100, lines: line('spark', 'speed', c.sparkDeg) },
    ...(isAbove(c.vehicleKmh, 0.01) ? [{ title: 'vehicle', unit: 'km/h', height: 90, lines: line('vehicle', 'speed', c.vehicleKmh) }] : []),
    ...(!bench && moves(c.coolantC, 0.5) ? [{ title: 'coolant', unit: '°C', height: 90, lines: line('coolant', 'speed', c.coolantC) }] : []),
  ];
}
