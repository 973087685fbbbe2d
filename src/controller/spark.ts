/**
 * Idle spark: base against coolant, less a retard that heats the catalyst after a start, a slope against speed, and a trim
 * on the error.
 *
 *     θ = base(coolant) − retard(coolant)·share(time since the catch) + slope(speed) + trim
 *     wanted = rate·(target − speed), within ± authority, loop closed
 *     washed ← washed + (wanted − washed)·h/(τ + h)        so that air takes a steady load over
 *     trim moves to wanted − washed, no faster than the slew limit
 *
 * Spark answers within one firing where air needs a cycle and a manifold: it catches, air carries. Common practice, no
 * source, for the figures; recorded engines answer by 0.08 to 0.09 °/rpm within ±4°.
 */
import { interpolate } from '../numerics/curve.js';
import { curve, group, own, type Values } from '../parameter/table.js';
import type { Measured } from './types.js';

export const sparkTable = {
  base: curve({
    x: { name: 'coolant', unit: 'degC', min: -40, max: 130 },
    y: { name: 'spark', unit: 'deg', min: -30, max: 60 },
    default: [[80, 12]],
    stored: 'unit',
    as: 'baseDeg',
    meaning: 'spark before top dead centre, against coolant',
    source: 'from memory: 5 to 20° at idle',
  }),
  slope: curve({
    x: { name: 'speed', unit: 'rpm', min: 0, max: 8000 },
    y: { name: 'spark', unit: 'deg', min: -40, max: 40 },
    default: [[800, 0]],
    stored: 'unit',
    as: 'slopeDeg',
    meaning: 'spark added, against speed',
    source: 'assumed: none',
  }),
  catalyst: group({
    meaning: 'retard after a start, to heat the catalyst',
    rows: {
      retard: curve({
        x: { name: 'coolant', unit: 'degC', min: -40, max: 130 },
        y: { name: 'retard', unit: 'deg', min: 0, max: 40 },
        default: [[20, 0]],
        stored: 'unit',
        as: 'retardDeg',
        meaning: 'taken off the base',
        source: 'off',
      }),
      hold: own({ as: 'holdS', unit: 's', default: 15, min: 0, max: 600, meaning: 'held this long from the catch', source: 'assumed' }),
      fade: own({ as: 'fadeS', unit: 's', default: 10, min: 0, max: 600, meaning: 'then back in this time, in a straight line', source: 'assumed' }),
    },
  }),
  slew: own({ as: 'slewDegPerS', unit: 'deg/s', default: null, min: 1, max: 10000, meaning: 'fastest change of the trim; unlimited when not given' }),
  washout: own({ as: 'washoutS', unit: 's', default: null, min: 0.05, max: 600, meaning: 'time constant with which the trim gives a steady error back to the air; not at all when not given' }),
  rate: own({ as: 'rateDegPerRpm', unit: 'deg/rpm', default: 0, min: 0, max: 5, meaning: 'trim for each rpm of error' }),
  authority: own({ as: 'authorityDeg', unit: 'deg', default: 10, min: 0, max: 60, meaning: 'most trim either way', source: 'common practice, no source' }),
} as const;
export type SparkSettings = Values<typeof sparkTable>;

export interface SparkState {
  /** Trim commanded last, degrees. */
  trim: number;
  /** What the washout has taken over by now, degrees. */
  washed: number;
}

export const createSparkState = (): SparkState => ({ trim: 0, washed: 0 });

const within = (value: number, most: number): number => (value > most ? most : value < -most ? -most : value);

/** Share of the catalyst's retard that stands so long after the catch; none without a start. */
function catalystShare(settings: SparkSettings, sinceCatchS: number | null): number {
  const { holdS, fadeS } = settings.catalyst;
  if (sinceCatchS === null) return 0;
  if (sinceCatchS <= holdS) return 1;
  const left = fadeS > 0 ? 1 - (sinceCatchS - holdS) / fadeS : 0;
  return left > 0 ? left : 0;
}

/**
 * One tick: commanded spark, °BTDC.
 *
 * @param sinceCatchS time since the engine caught, s; null when it ran all along   @param closed whether the loop is
 */
export function stepSpark(
  settings: SparkSettings, state: SparkState, periodS: number, measured: Measured, targetRpm: number, closed: boolean, sinceCatchS: number | null,
): number {
  const { rateDegPerRpm, authorityDeg, slewDegPerS, washoutS } = settings;
  const wanted = closed ? within(rateDegPerRpm * (targetRpm - measured.speedRpm), authorityDeg) : 0;
  if (washoutS !== null) state.washed = closed ? state.washed + ((wanted - state.washed) * periodS) / (washoutS + periodS) : 0;
  const left = wanted - state.washed;
  state.trim = slewDegPerS === null ? left : state.trim + within(left - state.trim, slewDegPerS * periodS);
  const retard = sinceCatchS === null ? 0 : interpolate(settings.catalyst.retardDeg, measured.coolantC) * catalystShare(settings, sinceCatchS);
  return interpolate(settings.baseDeg, measured.coolantC) - retard + interpolate(settings.slopeDeg, measured.speedRpm) + state.trim;
}
