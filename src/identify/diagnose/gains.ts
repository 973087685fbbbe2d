/**
 * What the loop does with an error, read from the recording: while idling, between events, the command moves from row to row by
 *
 *     Δc = −K_p Δn + K_i h e − K_d Δ²n/h        n speed, e = target − n, h time between rows
 *
 * so that a regression of its movement on the three gives K_p and K_d, roughly: the controller ticks more often than rows are
 * kept. K_i comes from what is left of the command over a whole second, against the error's area in it, beside a steady fade.
 */
import { Matrix, solve } from 'ml-matrix';
import { IDLE } from './phases.js';
import type { Subject } from './subject.js';

export interface SeenGains {
  /** air/rpm, air/(rpm·s), air·s/rpm; 0 where nothing is to be seen. */
  readonly kp: number;
  readonly ki: number;
  readonly kd: number;
}

const remembered = new WeakMap<Subject, SeenGains>();
const LEAST_ROWS = 20;
/** Errors beyond are often outside what the loop answers to: an entry window, a clamp. */
const SMALL_RPM = 150;

/** Gains that the command seems to have. */
export function seenGains(subject: Subject): SeenGains {
  const known = remembered.get(subject);
  if (known !== undefined) return known;
  const gains = regress(subject);
  remembered.set(subject, gains);
  return gains;
}

function regress(subject: Subject): SeenGains {
  const { recording, phases, events, rowsOf } = subject;
  const { air, speedRpm, periodS, rows } = recording;
  const none = { kp: 0, ki: 0, kd: 0 };
  if (air === null) return none;
  const near = new Uint8Array(rows);
  for (const { row } of events) near.fill(1, Math.max(0, row - 1), row + rowsOf(0.6));
  const at = (values: Float64Array, k: number): number => values[k] as number;
  const [normal, right] = [Matrix.zeros(3, 3), Matrix.zeros(3, 1)];
  let count = 0;
  for (let k = 2; k < rows; k++) {
    if (phases.phase[k] !== IDLE || phases.phase[k - 2] !== IDLE || near[k] === 1 || Math.abs(at(phases.error, k)) > SMALL_RPM) continue;
    const [dn, before] = [at(speedRpm, k) - at(speedRpm, k - 1), at(speedRpm, k - 1) - at(speedRpm, k - 2)];
    const row = [-dn, -at(phases.error, k) * periodS, -(dn - before) / periodS];
    const dc = at(air, k) - at(air, k - 1);
    if (!row.every(Number.isFinite) || !Number.isFinite(dc)) continue;
    for (let i = 0; i < 3; i++) {
      right.set(i, 0, right.get(i, 0) + (row[i] as number) * dc);
      for (let j = 0; j < 3; j++) normal.set(i, j, normal.get(i, j) + (row[i] as number) * (row[j] as number));
    }
    count++;
  }
  if (count < LEAST_ROWS || [0, 1, 2].some((i) => !(normal.get(i, i) > 0))) return none;
  const [kp, , kd] = solve(normal, right, true).to1DArray().map((gain) => Math.max(0, gain)) as [number, number, number];
  return { kp, ki: integralGain(subject, near, kp, kd), kd };
}

function integralGain({ recording, phases, rowsOf }: Subject, near: Uint8Array, kp: number, kd: number): number {
  const { air, speedRpm, periodS, rows } = recording;
  const second = rowsOf(1);
  const slow = (k: number): number => (air as Float64Array)[k] as number + kp * (phases.error[k] as number) + (kd * ((speedRpm[k] as number) - (speedRpm[k - 1] as number))) / periodS;
  let [n, x, y, xx, xy] = [0, 0, 0, 0, 0];
  let [area, good] = [0, 0];
  for (let k = 1; k < rows; k++) {
    const e = phases.error[k] as number;
    const fit = phases.phase[k] === IDLE && near[k] === 0 && Math.abs(e) < SMALL_RPM;
    [area, good] = fit ? [area - e * periodS, good + 1] : [0, 0];
    if (good > second) {
      area += (phases.error[k - second] as number) * periodS;
      const moved = slow(k) - slow(k - second);
      if (Number.isFinite(moved)) [n, x, y, xx, xy] = [n + 1, x + area, y + moved, xx + area * area, xy + area * moved];
    }
  }
  const spread = n * xx - x * x;
  return n > LEAST_ROWS && spread > 0 ? Math.max(0, (n * xy - x * y) / spread) : 0;
}

/**
 * The command without what proportional and derivative make of the error in a row: base, loads and integral.
 * NaN in the first row.
 */
export function slowCommand(subject: Subject, row: number): number {
  const { recording: { air, speedRpm, periodS }, phases: { error } } = subject;
  const { kp, kd } = seenGains(subject);
  if (air === null || row < 1) return Number.NaN;
  return (air[row] as number) + kp * (error[row] as number) + (kd * ((speedRpm[row] as number) - (speedRpm[row - 1] as number))) / periodS;
}
