/** What every detector looks at. */
import type { LogEvent } from './events.js';
import type { SymptomLimits } from './limits.js';
import type { Phases } from './phases.js';
import { meanOf, quantile, type Recording, timeAt } from './recording.js';
import { IDLE } from './phases.js';

export interface Subject {
  readonly recording: Recording;
  readonly phases: Phases;
  readonly events: readonly LogEvent[];
  readonly limits: SymptomLimits;
  /** Air command that holds the idle in the middle of its readings; NaN without one. */
  readonly holdAir: number;
  /** Scatter of the speed about its own second of mean while idling, rpm root mean square: roughness and noise. */
  readonly scatterRpm: number;
  readonly rowsOf: (seconds: number) => number;
  readonly timeOf: (row: number) => number;
}

/**
 * What roughness adds to the largest of some tens of readings, rpm: about their scatter. A loop that hunts
 * scatters as well; that is not taken for roughness.
 */
export const roughnessPeak = ({ scatterRpm }: Subject): number => Math.min(scatterRpm, 15);

export function subjectOf(recording: Recording, phases: Phases, events: readonly LogEvent[], limits: SymptomLimits): Subject {
  const { periodS, rows, speedRpm, air } = recording;
  const rowsOf = (seconds: number): number => Math.max(1, Math.round(seconds / periodS));
  const half = rowsOf(0.5);
  const scatter: number[] = [];
  for (let k = half; k < rows - half; k++) {
    if (phases.phase[k] === IDLE) scatter.push(Math.abs((speedRpm[k] as number) - meanOf(speedRpm, k - half, k + half + 1)));
  }
  return {
    recording, phases, events, limits, rowsOf, timeOf: (row) => timeAt(recording, row),
    holdAir: air === null ? Number.NaN : quantile(air.map((a, k) => (phases.phase[k] === IDLE ? a : Number.NaN)), 0.5),
    scatterRpm: 1.25 * (quantile(Float64Array.from(scatter), 0.5) || 0),
  };
}
