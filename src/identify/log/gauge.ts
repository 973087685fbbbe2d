/**
 * Manifold pressure that is counted from the open air: gauge pressure, below nought at idle, or vacuum, which counts down.
 * It becomes absolute with the barometer of the log, or with a standard one, and the report says so.
 */
import { wordsOf, type Candidate } from './guess.js';
import { at } from './plausible.js';
import { type Converter, fromOpenAir, unitOf } from './units.js';

/** ISO 2533:1975, standard atmosphere at sea level, kPa. */
const STANDARD_KPA = 101.325;
/** An idle's manifold, kPa; common practice, no source. */
const [LOWEST_KPA, HIGHEST_KPA] = [15, 95];
/** Below this in the middle, kPa, no absolute pressure is wrong by its zero alone. */
const BELOW_KPA = -3;
const UNITS = ['kPa', 'inHg', 'mmHg', 'mbar', 'psi', 'bar'];
const VACUUM = new Set(['vacuum', 'vac', 'unterdruck', 'saugrohrunterdruck', 'depression', 'vacio', 'vacuo']);
const BAROMETER = new Set(['barometric', 'barometer', 'baro', 'atmospheric', 'umgebungsdruck', 'luftdruck', 'atmospherique']);

export interface FromOpenAir {
  /** Unit of the readings, without word of where they count from; null where it cannot be told. */
  readonly unit: string | null;
  /** kPa = barometerKpa + slope × reading. */
  readonly slope: number;
  readonly barometerKpa: number;
  readonly note: string;
}

/** Middle reading of the log's barometer, kPa; null without one. */
function barometerOf(candidates: readonly Candidate[], convert: Converter): { readonly kpa: number; readonly title: string } | null {
  for (const { title, name, unit, sample } of candidates) {
    if (!wordsOf(name).some((w) => BAROMETER.has(w)) || sample.length === 0) continue;
    const middle = at(sample.slice().sort(), 0.5);
    const kpa = (unitOf(unit) === null ? ['kPa', 'mbar', 'inHg', 'mmHg', 'psi', 'bar'] : [unit]).map((u) => middle * (convert(u, 'kPa')?.slope ?? Number.NaN)).find((p) => p > 50 && p < 110);
    if (kpa !== undefined) return { kpa, title };
  }
  return null;
}

/** How readings of manifold pressure count from the open air; null where they are absolute. @param unit as given, '' for none */
export function countsFromOpenAir(values: Float64Array, { title, name }: Candidate, unit: string, candidates: readonly Candidate[], convert: Converter): FromOpenAir | null {
  const marked = fromOpenAir(unit);
  const given = marked?.unit ?? unit;
  const middle = at(values.slice().sort(), 0.5);
  const vacuum = marked?.down === true || wordsOf(name).some((w) => VACUUM.has(w));
  const slope = convert(unitOf(given) === null ? 'kPa' : given, 'kPa')?.slope ?? 1;
  const negative = middle * slope < (unitOf(given) === null ? 0 : BELOW_KPA);
  if (marked === null && !vacuum && !negative) return null;
  const barometer = barometerOf(candidates, convert);
  const barometerKpa = barometer?.kpa ?? STANDARD_KPA;
  // a vacuum that is written with its sign counts up like a gauge
  const sign = vacuum && middle > 0 ? -1 : 1;
  const able = UNITS.filter((u) => {
    const idle = barometerKpa + sign * middle * (convert(u, 'kPa')?.slope ?? Number.NaN);
    return idle >= LOWEST_KPA && idle <= HIGHEST_KPA;
  });
  const read = unitOf(given) !== null ? given : able.length === 1 ? (able[0] as string) : null;
  const what = `column ${title} ${sign < 0 ? 'is a vacuum: it counts down from the open air' : 'counts from the open air, and is below it'}`;
  if (read === null) return { unit: null, slope: 0, barometerKpa, note: `${what}. Its unit is not given${able.length > 1 ? `, and could be ${able.join(' or ')}` : ''}: it is left out; give --map map=COLUMN [unit]` };
  return {
    unit: read, slope: sign * (convert(read, 'kPa')?.slope ?? Number.NaN), barometerKpa,
    note: `${what}. Made absolute with ${barometer === null ? `${STANDARD_KPA.toFixed(1)} kPa, since the log has no barometer: out by as much as the day's differs` : `the ${Number(barometer.kpa.toPrecision(4))} kPa of ${barometer.title}`}${unitOf(given) === null ? `; read as ${read}, in which it can be an idle's` : ''}`,
  };
}
