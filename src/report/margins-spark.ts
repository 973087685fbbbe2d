/** Largest spark rates as a table and in words. */
import type { SparkLimit, StableRate } from '../linear/spark-limit.js';
import { HIGHEST_RATE } from '../linear/spark-limit.js';
import type { Layout } from './chart.js';
import { threeDigits } from './margins.js';
import { formatNumber } from './numbers.js';
import { table, type TableCell } from './table.js';

/** One engine of a study of the spark rate. */
export interface SparkLimitRow {
  /** Of what is varied, in documented units. */
  readonly values: readonly number[];
  readonly limit: SparkLimit;
  /** Rate at which roughness makes the trim as active as allowed, and that at which the reference error uses the authority up, °/rpm; null where neither happens. */
  readonly roughness: number | null;
  readonly authority: number | null;
}

export interface SparkLimitStudy {
  readonly keys: readonly { readonly name: string; readonly unit: string }[];
  readonly rows: readonly (SparkLimitRow | { readonly values: readonly number[]; readonly absent: string })[];
  /** COV of IMEP, %, assumed or of the engine; activity, ° rms, that counts as spoilt; error, rpm, that must not use the authority up. */
  readonly roughnessPct: number;
  readonly roughnessAssumed: boolean;
  readonly activityDeg: number;
  readonly authorityDeg: number;
  readonly errorRpm: number;
}

const rate = (value: number): string => (value > HIGHEST_RATE ? `above ${HIGHEST_RATE}` : threeDigits(value));
const stable = ({ rate: value, because }: StableRate): TableCell => (value === null ? { absent: because ?? 'not found' } : rate(value));

/** @returns lines no wider than `columns` */
export function sparkLimitTable(study: SparkLimitStudy, layout: Pick<Layout, 'columns' | 'colour'>): string[] {
  const rows = study.rows.map((row): TableCell[] => {
    const values = row.values.map((value) => formatNumber(value));
    if ('absent' in row) return [...values, ...Array.from({ length: 6 }, () => ({ absent: row.absent }))];
    const { limit, roughness, authority } = row;
    const calm = limit.withAir.rate === null ? { absent: limit.withAir.because ?? 'not found' } : null;
    return [
      ...values,
      rate(limit.closedForm),
      stable(limit.alone),
      stable(limit.withAir),
      limit.withAir.huntingHz === null ? { absent: limit.withAir.because ?? 'not found' } : formatNumber(limit.withAir.huntingHz, 'Hz'),
      roughness === null ? (calm ?? { absent: 'calmer than that up to the largest stable rate' }) : rate(roughness),
      authority === null ? { absent: 'no authority' } : rate(authority),
    ];
  });
  return table({
    heads: [
      ...study.keys.map(({ name, unit }) => ({ head: name, unit, names: true })),
      { head: 'closed form', unit: '°/rpm' },
      { head: 'spark alone', unit: '°/rpm' },
      { head: 'with the air loop', unit: '°/rpm' },
      { head: 'hunts at', unit: 'Hz' },
      { head: 'spoilt by roughness', unit: '°/rpm' },
      { head: 'by its authority', unit: '°/rpm' },
    ],
    rows,
    columns: layout.columns,
    colour: layout.colour,
  });
}

export const sparkLimitWords = ({ roughnessPct, roughnessAssumed, activityDeg, authorityDeg, errorRpm }: SparkLimitStudy): readonly string[] => [
  'Closed form: an integrator with dead time, (π/2)·(π/30)·J/(k·τ): J inertia, k torque for each degree, τ spark delay, sensing and hold. Spark alone and with the air loop: the whole engine, by its frequency response, authority off.',
  `Spoilt by roughness: a scatter of ${formatNumber(roughnessPct)} % from firing to firing${roughnessAssumed ? ' (assumed: the engine has none)' : ''} alone keeps the trim moving by ${formatNumber(activityDeg)}° rms. By its authority: an error of ${formatNumber(errorRpm)} rpm already asks for all of the ±${formatNumber(authorityDeg)}°, and a higher rate can do no more against a dip as deep.`,
];
