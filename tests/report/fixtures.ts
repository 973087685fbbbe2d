/** Traces made up from closed forms, to be drawn and tabled; no engine is run for them. */
import type { ColumnName, Columns, Trace, TraceEvent } from '../../src/loop/trace.js';
import { COLUMNS } from '../../src/loop/trace.js';
import type { EventMetrics } from '../../src/score/events.js';
import { METRICS, type MetricName, type Metrics } from '../../src/score/metrics.js';

export interface Made {
  readonly rows?: number;
  readonly recordS?: number;
  readonly speed?: (t: number) => number;
  readonly target?: (t: number) => number;
  readonly air?: (t: number) => number;
  readonly spark?: (t: number) => number;
  readonly events?: readonly TraceEvent[];
  readonly open?: Trace['open'];
  readonly stalled?: boolean;
  readonly airUnit?: Trace['airUnit'];
}

export function madeTrace(made: Made): Trace {
  const { rows = 1500, recordS = 0.01, events = [], open = [], stalled = false, airUnit = '%' } = made;
  const { speed = () => 800, target = () => 800, air = () => 30, spark = () => 12 } = made;
  // one row more than is used, not a number, so that reading past `rows` would be seen
  const column = (of: (t: number) => number): Float64Array =>
    Float64Array.from({ length: rows + 1 }, (_, k) => (k < rows ? of(k * recordS) : Number.NaN));
  const zero = Object.fromEntries(
    (Object.keys(COLUMNS) as ColumnName[]).map((name) => [name, column(() => 0)]),
  ) as unknown as Columns;
  const airLimits: readonly [number, number] = airUnit === '%' ? [10, 60] : [0, 120];
  const endS = Math.max(0, rows - 1) * recordS;
  return {
    rows,
    recordS,
    events,
    open,
    stalled,
    airUnit,
    airLimits,
    stallRpm: 300,
    stallTimeS: stalled ? endS : null,
    end: {
      atS: endS,
      engine: stalled ? 'stalled' : 'running',
      because: stalled ? 'the speed fell to 300 rpm' : 'the run is over',
    },
    columns: {
      ...zero,
      timeS: column((t) => t),
      speedRpm: column(speed),
      sensedRpm: column(speed),
      targetRpm: column(target),
      air: column((t) => Math.min(airLimits[1], Math.max(airLimits[0], air(t)))),
      sparkDeg: column(spark),
      closed: column((t) => (open.some(({ fromS, toS }) => t >= fromS && t < toS) ? 0 : 1)),
      atStop: column((t) => (air(t) >= airLimits[1] || air(t) <= airLimits[0] ? 1 : 0)),
    },
  };
}

/** Damped swing after a load at 2 s and its removal at 8 s. */
export const loadDrill = (depth = 110, name = 'load on'): Trace => {
  const swing = (t: number): number => (t < 0 ? 0 : depth * 1.6 * Math.exp(-1.1 * t) * Math.sin(3.2 * t));
  return madeTrace({
    speed: (t) => 800 - swing(t - 2) + swing(t - 8) * 0.8,
    air: (t) => 24 + (t > 2 ? 9 * (1 - Math.exp(-(t - 2))) : 0) - (t > 8 ? 9 * (1 - Math.exp(-(t - 8))) : 0) + swing(t - 2) / 20,
    spark: (t) => 12 + swing(t - 2) / 16 - swing(t - 8) / 20,
    events: [
      { atS: 2, engagedS: 2.5, name, what: '8 N·m on' },
      { atS: 8, engagedS: 8, name: 'load off', what: '0 N·m' },
    ],
  });
};

/** A free-rev that comes down, with the loop open until it is back, and stalls or not. */
export const freeRev = (stalls: boolean): Trace =>
  madeTrace({
    rows: stalls ? 620 : 1500,
    speed: (t) =>
      t < 1
        ? 800
        : t < 2
          ? 800 + 2400 * (t - 1)
          : stalls
            ? Math.max(300, 3200 - 800 * (t - 2) * (1 + (t - 2) * 0.02))
            : 800 + 2400 * Math.exp(-(t - 2)) * Math.cos(t - 2),
    air: (t) => (t < 2 ? 24 : stalls ? 24 - 8 * (t - 2) : 24 + 8 * Math.exp(-(t - 2))),
    spark: (t) => 12 + (t > 2 ? 4 * Math.exp(-((t - 4) ** 2)) : 0),
    events: [{ atS: 1, engagedS: 1, name: 'blip', what: 'throttle 20 % until 3200 rpm' }],
    open: [
      { fromS: 1, toS: 2.04, because: 'throttle open' },
      ...(stalls ? [] : [{ fromS: 2.04, toS: 4.5, because: 'speed above the entry window' }]),
    ],
    stalled: stalls,
  });

export function metricsOf(values: Partial<Record<MetricName, number | null>>, reasons: Metrics['reasons'] = {}): Metrics {
  return {
    ...(Object.fromEntries(METRICS.map((name) => [name, values[name] ?? null])) as Record<MetricName, number | null>),
    reasons,
  };
}

export const eventOf = (
  name: string,
  atS: number,
  values: Partial<Record<MetricName, number | null>>,
  reasons: Metrics['reasons'] = {},
): EventMetrics => ({
  ...metricsOf(values, reasons),
  atS,
  engagedS: atS,
  name,
  what: '',
  fromEngagement: null,
  settlesFromS: atS,
  outsideUntilS: 0,
  mostHuntingRpm: 0,
  hangs: null,
  pedal: null,
  window: { from: 0, to: 100, startS: atS, endS: atS + 5, stalled: false },
});

/** Wide enough to show all, plausible, with some that do not exist. */
export const FULL: Record<MetricName, number> = {
  sagRpm: 112.4,
  flareRpm: 31.2,
  settlingTimeS: 2.314,
  overshootPct: 12.34,
  stallMarginRpm: 387.6,
  stallMarginPct: 48.45,
  lowestRpm: 687.6,
  lowestAtS: 2.41,
  iaeRpmS: 143.2,
  huntingRpm: 6.2,
  huntingHz: 0.812,
  valveTravelPctPerS: 0.412,
  sparkActivityDeg: 0.63,
  saturatedS: 0,
};
