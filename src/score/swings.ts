/**
 * Swings that are sustained, in a stretch too short for three periods: the error goes beyond the settling band on one side,
 * the other, and back, evenly and no less far each time.
 *
 * 1. Extremes are those of the cycle-mean error between its passages from beyond the band on one side to beyond it on the
 *    other. One at the very edge of the stretch has not turned, and does not count.
 * 2. There are at least three, of which the last five are looked at.
 * 3. The times between them differ from their mean by `EVEN` at the most.
 * 4. From each extreme to the next the curve is like half a cosine: what it differs by is `ROUND` of it at the most. Wander
 *    that happens to go out on both sides is not.
 * 5. The last swing is at least `SUSTAINED` of the first.
 *
 * The thresholds are ours. Checked on this tool's own engine with 8 % roughness, and on decaying responses.
 */
import { type Hunting, none, SUSTAINED } from './hunting.js';
import { DIES_AWAY } from './reasons.js';

const EVEN = 0.25;
const ROUND = 0.35;
const LEAST = 3;
const MOST = 5;

interface Extreme {
  readonly row: number;
  readonly size: number;
}

/** Extremes beyond ±band in rows `from` … `to` − 1, alternately above and below. */
function extremes(error: Float64Array, from: number, to: number, band: number): readonly Extreme[] {
  const found: Extreme[] = [];
  for (let k = from; k < to; k++) {
    const size = error[k] as number;
    const last = found.at(-1);
    if (Math.abs(size) <= band) continue;
    if (last === undefined || Math.sign(last.size) !== Math.sign(size)) found.push({ row: k, size });
    else if (Math.abs(size) > Math.abs(last.size)) found[found.length - 1] = { row: k, size };
  }
  return found.filter(({ row }) => row > from && row < to - 1);
}

/** How far the curve is from half cosines between its extremes, over how far it moves; both root mean square. */
function unlikeCosines(error: Float64Array, found: readonly Extreme[]): number {
  let [off, all] = [0, 0];
  for (let i = 1; i < found.length; i++) {
    const [a, b] = [found[i - 1] as Extreme, found[i] as Extreme];
    for (let k = a.row; k < b.row; k++) {
      const wave = (a.size - b.size) / 2 * Math.cos((Math.PI * (k - a.row)) / (b.row - a.row));
      off += ((error[k] as number) - (a.size + b.size) / 2 - wave) ** 2;
      all += wave * wave;
    }
  }
  return Math.sqrt(off / all);
}

/**
 * Looks for sustained swings of an error in rows `from` … `to` − 1.
 *
 * @param error rpm, cycle mean, evenly spaced by `rowS`, s  @param band rpm
 * @returns peak to peak of the last swing and its frequency, or why there is none
 */
export function findSwings(error: Float64Array, from: number, to: number, rowS: number, band: number): Hunting {
  const found = extremes(error, from, to, band).slice(-MOST);
  if (found.length < LEAST) return none(`fewer than ${LEAST} swings beyond the settling band`);
  const gaps = found.slice(1).map(({ row }, i) => row - (found[i] as Extreme).row);
  const mean = gaps.reduce((sum, gap) => sum + gap, 0) / gaps.length;
  if (gaps.some((gap) => Math.abs(gap - mean) > EVEN * mean)) return none('the swings beyond the settling band are not evenly spaced');
  if (unlikeCosines(error, found) > ROUND) return none('the speed wanders without a period');
  const sizes = found.slice(1).map(({ size }, i) => Math.abs(size - (found[i] as Extreme).size));
  const last = sizes.at(-1) as number;
  if (last < SUSTAINED * (sizes[0] as number)) return none(DIES_AWAY);
  return { peakToPeakRpm: last, frequencyHz: 1 / (2 * mean * rowS), reason: null };
}

/**
 * Whether a curve that repeats itself too seldom for a period to be found does not swing to and fro at all (it turns no
 * more than once), or less at the end than at the start.
 *
 * @param least rpm by which it must come back to have turned
 */
export function comesToRest(error: Float64Array, from: number, to: number, least: number): boolean {
  const turns: number[] = [];
  let [high, low, way] = [error[from] ?? 0, error[from] ?? 0, 0];
  for (let k = from; k < to; k++) {
    const now = error[k] as number;
    high = Math.max(high, now);
    low = Math.min(low, now);
    if (way >= 0 && now < high - least) {
      if (way > 0) turns.push(high);
      [way, low] = [-1, now];
    } else if (way <= 0 && now > low + least) {
      if (way < 0) turns.push(low);
      [way, high] = [1, now];
    }
  }
  if (turns.length < 2) return true;
  // the swing that is under way at the end may still grow; the one at the start can only have been larger
  const sizes = turns.map((turn, i) => Math.abs(turn - ((i === 0 ? error[from] : turns[i - 1]) as number)));
  return sizes.every((size, i) => i === 0 || size < SUSTAINED * (sizes[i - 1] as number));
}

/** Highest less lowest of rows `from` … `to` − 1; 0 without any. */
export function spread(error: Float64Array, from: number, to: number): number {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let k = from; k < to; k++) [low, high] = [Math.min(low, error[k] as number), Math.max(high, error[k] as number)];
  return from < to ? high - low : 0;
}
