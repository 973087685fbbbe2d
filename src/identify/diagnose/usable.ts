/** Whether a log can be diagnosed at all. */
import type { Log } from '../log/index.js';
import { IDLE, phasesOf } from './phases.js';
import { quantile, type Recording } from './recording.js';

/** Least idling that tells anything, s. */
const LEAST_IDLE_S = 3;
const RUNS_RPM = 420;
/** An idling spark-ignition engine is throttled: its manifold stays well below the air outside. Common practice, no source. */
const UNTHROTTLED_KPA = 85;
/** Slower than any idle, rpm: a speed that never reaches it is none, or in another unit. */
const FASTEST_IDLE_RPM = 2500;

/** Why nothing can be told, in words; null where something can. */
export function unusable(recordings: readonly Recording[], log: Log): string | null {
  if (recordings.length === 0) return `no stretch of engine speed is long enough: the log lasts ${log.durationS.toFixed(1)} s`;
  const highest = Math.max(...recordings.map(({ speedRpm }) => quantile(speedRpm, 1)));
  if (!(highest > RUNS_RPM)) return `the engine never runs: its speed reaches ${Math.round(highest)} rpm`;
  const speed = log.report.channels.find(({ name }) => name === 'speed');
  if (speed?.constant === true) return `the speed stands at ${Math.round(highest)} rpm all along: a running engine's moves`;
  const phases = recordings.map(phasesOf);
  const idleRows = phases.map(({ phase }) => phase.reduce((sum, p) => sum + (p === IDLE ? 1 : 0), 0));
  const idleS = recordings.reduce((sum, { periodS }, i) => sum + (idleRows[i] as number) * periodS, 0);
  const at = (values: (r: Recording) => Float64Array | null): number =>
    quantile(Float64Array.from(recordings.flatMap((r, i) => Array.from((values(r) ?? new Float64Array()).filter((_, k) => phases[i]?.phase[k] === IDLE)))), 0.5);
  const middle = at((r) => r.speedRpm);
  if (idleS < LEAST_IDLE_S || middle > FASTEST_IDLE_RPM) return `no idle in it: ${idleS < LEAST_IDLE_S ? `${idleS.toFixed(1)} s with the throttle shut and the engine left to itself` : `the engine runs at ${Math.round(middle)} rpm in the middle`}; ${LEAST_IDLE_S} s are wanted`;
  const kpa = at((r) => r.mapKpa);
  if (kpa > UNTHROTTLED_KPA) return `the manifold is at ${kpa.toFixed(0)} kPa while idling, as that of a diesel engine, whose idle is not held by air; or its unit is another: --map map=COLUMN [unit]`;
  return null;
}
