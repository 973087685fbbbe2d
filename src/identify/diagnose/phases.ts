/** What the engine and its driver are doing, row by row, and the target where the recording has none. */
import { meanOf, quantile, type Recording } from './recording.js';

/** Values of `phase`: engine off · starter · foot on the throttle or the car drives it · coming down from that · idling. */
export const [OFF, CRANKING, DRIVER, RETURNING, IDLE] = [0, 1, 2, 3, 4] as const;

export interface Phases {
  readonly phase: Uint8Array;
  /** 1 where the car drives the engine with the throttle shut. */
  readonly driven: Uint8Array;
  readonly targetRpm: Float64Array;
  /** Speed less target. */
  readonly error: Float64Array;
  /** Reading of the shut throttle, %; null without one. */
  readonly shutPct: number | null;
}

/** Speeds that part off, starter and running engine, rpm. Common practice, no source. */
const [TURNS_RPM, RUNS_RPM] = [40, 420];
/** Play of the shut throttle, % of its travel; above it a foot is on it. */
const PLAY_PCT = 2;
/** Vehicle speed from which a car can drive its engine, km/h. */
const MOVES_KMH = 5;
/** Speed above target that is no idle's while the car rolls, rpm. */
const DRIVEN_RPM = 150;
/** Back within this of target, rpm: the return is over. */
const BACK_RPM = 50;
/** Without a throttle channel a blip is told by a speed so far above target, as a share of it. */
const BLIP = 0.6;

/** Middle speed of idling within half a minute either side: what an unknown target must be about. */
function guessedTarget({ speedRpm, rows, periodS }: Recording, shut: Uint8Array): Float64Array {
  const running = speedRpm.filter((n, k) => n > RUNS_RPM && shut[k] === 1);
  const low = quantile(running, 0.3);
  const near = speedRpm.map((n, k) => (n > RUNS_RPM && shut[k] === 1 && n < low * 1.6 ? n : Number.NaN));
  const half = Math.round(30 / periodS);
  const every = Math.max(1, Math.round(5 / periodS));
  const out = new Float64Array(rows).fill(low);
  for (let k = 0; k < rows; k += every) {
    const middle = quantile(near.slice(Math.max(0, k - half), k + half), 0.5);
    out.fill(!Number.isNaN(middle) ? middle : low, k, Math.min(rows, k + every));
  }
  return out;
}

export function phasesOf(recording: Recording): Phases {
  const { rows, speedRpm, throttlePct, vehicleKmh, clutch } = recording;
  const shutPct = throttlePct === null ? null : quantile(throttlePct, 0.02);
  const shut = Uint8Array.from({ length: rows }, (_, k) => (shutPct === null || !((throttlePct?.[k] as number) > shutPct + PLAY_PCT) ? 1 : 0));
  const guess = recording.targetRpm === null ? guessedTarget(recording, shut) : null;
  const targetRpm = guess ?? (recording.targetRpm as Float64Array).map((t, k, all) => (!Number.isNaN(t) ? t : meanOf(all, k - 20, k + 20)));
  const error = speedRpm.map((n, k) => n - (targetRpm[k] as number));
  const phase = new Uint8Array(rows);
  const driven = new Uint8Array(rows);
  let now: number = (speedRpm[0] as number) > RUNS_RPM ? IDLE : OFF;
  for (let k = 0; k < rows; k++) {
    const n = speedRpm[k] as number;
    const e = error[k] as number;
    const rolls = vehicleKmh !== null && (vehicleKmh[k] as number) > MOVES_KMH && !((clutch?.[k] ?? 0) === 1);
    driven[k] = rolls && shut[k] === 1 && e > DRIVEN_RPM ? 1 : 0;
    const acts = shut[k] === 0 || driven[k] === 1 || (throttlePct === null && e > BLIP * (targetRpm[k] as number) && now !== CRANKING && !justStarted(phase, k, recording.periodS));
    if (n < TURNS_RPM) now = OFF;
    else if ((now === OFF || now === CRANKING) && n < Math.min(RUNS_RPM, 0.7 * (targetRpm[k] as number))) now = CRANKING;
    else if (acts) now = DRIVER;
    else if (now === DRIVER || now === RETURNING) now = e <= BACK_RPM ? IDLE : RETURNING;
    else now = IDLE;
    phase[k] = now;
  }
  return { phase, driven, targetRpm, error, shutPct };
}

/** Within ten seconds of the starter: a flare is no blip. */
function justStarted(phase: Uint8Array, k: number, periodS: number): boolean {
  const from = Math.max(0, k - Math.round(10 / periodS));
  for (let i = from; i < k; i++) if ((phase[i] as number) <= CRANKING) return true;
  return false;
}
