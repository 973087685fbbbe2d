/** The gain at which proportional control of a process just keeps it swinging, from its frequency response. */
import { magnitude } from './complex.js';
import { type PhaseCrossover, phaseCrossoversOf } from './crossovers.js';
import type { FrequencyResponse } from './response.js';
import type { UltimatePoint } from './rules.js';
import { follow } from './trace-response.js';
import { times } from './transfer.js';

export interface Ultimate {
  /** Null, with the reason, where no gain makes it swing. */
  readonly point: (UltimatePoint & { readonly omega: number }) | null;
  readonly reason: string | null;
}

/** Phase crossover of the lowest gain, of a gain times the source. */
function crossingOf(source: FrequencyResponse, gain: number): PhaseCrossover | null {
  const loop = times(gain, source);
  const all = phaseCrossoversOf(loop, follow(loop));
  return all.reduce<PhaseCrossover | null>((best, next) => (best === null || next.gainMargin < best.gainMargin ? next : best), null);
}

/**
 * Smallest gain, and the period, at which the loop of a stable or integrating process and that gain passes through −1.
 * @throws RangeError where the response is not finite
 */
export function ultimateOf(source: FrequencyResponse): Ultimate {
  // A process has any unit, and a loop is followed closely only where it is not small: so the gain is brought near first.
  const near = 1 / (magnitude(source.at(Math.sqrt(source.from * source.to))) || 1);
  const rough = crossingOf(source, near);
  const gain = near * (rough?.gainMargin ?? 1);
  // Far above the crossing just found a delay only costs time.
  const to = source.periodS === null && rough !== null && rough.omega > 0 ? Math.min(source.to, 3 * rough.omega) : source.to;
  const crossing = crossingOf({ ...source, to }, gain);
  if (crossing === null) return { point: null, reason: 'its phase never reaches −180°, so no gain makes it swing' };
  if (crossing.omega === 0) return { point: null, reason: 'its steady gain is negative: turn the sign of the command' };
  const { omega } = crossing;
  return { point: { gain: gain * crossing.gainMargin, periodS: (2 * Math.PI) / omega, omega }, reason: null };
}
