/**
 * Idle spark: base against coolant, a slope against speed, and a trim on the error.
 *
 *     θ = base(coolant) + slope(speed) + trim        trim = rate·(target − speed), within ± authority, loop closed
 *
 * Spark answers within one firing where air needs a cycle and a manifold: it catches, air carries. Common practice, no
 * source, for the figures; recorded engines answer by 0.08 to 0.09 °/rpm within ±4°.
 */
import { interpolate } from '../numerics/curve.js';
import { curve, own, type Values } from '../parameter/table.js';

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
  rate: own({ as: 'rateDegPerRpm', unit: 'deg/rpm', default: 0, min: 0, max: 5, meaning: 'trim for each rpm of error' }),
  authority: own({ as: 'authorityDeg', unit: 'deg', default: 10, min: 0, max: 60, meaning: 'most trim either way', source: 'common practice, no source' }),
} as const;
export type SparkSettings = Values<typeof sparkTable>;

/** Commanded spark, °BTDC. Every term is a function of now; there is no state. */
export function sparkCommand(settings: SparkSettings, coolantC: number, speedRpm: number, targetRpm: number, closed: boolean): number {
  const { rateDegPerRpm, authorityDeg } = settings;
  const wanted = closed ? rateDegPerRpm * (targetRpm - speedRpm) : 0;
  const trim = wanted > authorityDeg ? authorityDeg : wanted < -authorityDeg ? -authorityDeg : wanted;
  return interpolate(settings.baseDeg, coolantC) + interpolate(settings.slopeDeg, speedRpm) + trim;
}
