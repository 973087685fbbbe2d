/** Two runs of a lesson one over the other: what is the same scale stands in one strip. */
import uPlot from 'uplot';
import { type Columns, fuelForAir, span, spareTorque } from '../lesson.js';
import type { DrawnRun } from '../messages.js';
import type { Tone } from './look.js';
import type { Strip, StripLine } from './strips.js';

export interface Twin {
  readonly name: string;
  readonly tone: Tone;
  readonly run: DrawnRun;
}

type Column = ArrayLike<number | null>;

/** The rows of both, with gaps where one has none. */
function together(twins: readonly Twin[]): { readonly timeS: ArrayLike<number>; readonly columns: readonly Columns[] } {
  const each = twins.map(({ run: { drawn } }): Readonly<Record<string, Column>> => ({ ...drawn.columns, spareNm: spareTorque(drawn.columns) }));
  const [timeS, ...joined] = uPlot.join(each.map((columns, i) => [twins[i]!.run.drawn.timeS, ...Object.values(columns)] as unknown as uPlot.AlignedData)) as unknown as [ArrayLike<number>, ...Column[]];
  let from = 0;
  const columns = each.map((own) => Object.fromEntries(Object.keys(own).map((name) => [name, joined[from++]!])));
  return { timeS, columns };
}

/** What moves less than this is not worth a strip. */
const LEAST = { air: 0.1, sparkDeg: 0.3, vehicleKmh: 0.5 } as const;
/** Part by which fuel for the same air has to differ to be worth one. */
const OTHER_MIXTURE = 0.03;

export interface Twins {
  readonly timeS: ArrayLike<number>;
  readonly columns: readonly Columns[];
  readonly strips: readonly Strip[];
}

export function twinStrips(twins: readonly Twin[]): Twins {
  const { timeS, columns } = together(twins);
  const of = (column: string): readonly StripLine[] => twins.map(({ name, tone }, i) => ({ name, tone, values: columns[i]![column]! }));
  const moves = (column: keyof typeof LEAST): boolean => columns.some((each) => span(each[column]) > LEAST[column]);
  const [first = 0, ...others] = twins.map(({ run }) => fuelForAir(run.drawn.columns));
  const otherMixture = others.some((each) => Math.abs(each / first - 1) > OTHER_MIXTURE);
  const units = new Set(twins.map(({ run }) => run.airUnit));
  const [unit] = units;
  const bands = twins.some(({ run }) => run.open.length > 0) ? twins.map(({ name, tone, run }): Strip => ({ title: 'loop', unit: '', height: 30, lines: [], band: { name, tone, open: run.open, endS: run.endS } })) : [];
  return {
    timeS, columns,
    strips: [
      { title: 'speed', unit: 'rpm', height: 210, lines: [{ name: 'target', tone: 'target', values: longest(columns.map((each) => each.targetRpm!)) }, ...of('speedRpm')] },
      ...bands,
      // two valves in two units have only their opening in common
      ...(units.size === 1 ? !moves('air') ? [] : [{ title: 'air command', unit: unit === 'step' ? 'steps' : '%', height: 110, lines: of('air') }] : [{ title: 'opening', unit: '%', height: 110, lines: of('openingPct') }]),
      { title: 'manifold', unit: 'kPa', height: 100, lines: of('mapKpa') },
      ...(moves('sparkDeg') ? [{ title: 'spark', unit: '°BTDC', height: 90, lines: of('sparkDeg') }] : []),
      { title: 'indicated torque', unit: 'N·m', height: 110, lines: of('indicatedNm') },
      { title: 'torque to spare', unit: 'N·m', height: 120, lines: of('spareNm') },
      ...(otherMixture ? [{ title: 'fuel', unit: 'kg/h', height: 90, lines: of('fuelKgh') }] : []),
      ...(moves('vehicleKmh') ? [{ title: 'vehicle', unit: 'km/h', height: 80, lines: of('vehicleKmh') }] : []),
    ],
  };
}

/** The target of the run that lasts longer: after a stall nothing is aimed at. */
const longest = (columns: readonly Column[]): Column => {
  const seen = (column: Column): number => Array.prototype.reduce.call(column, (count: unknown, value: unknown) => (count as number) + (value == null ? 0 : 1), 0) as number;
  return columns.reduce((best, column) => (seen(column) > seen(best) ? column : best));
};
