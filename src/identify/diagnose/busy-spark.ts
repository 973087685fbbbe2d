/** A spark that is too busy for the rows to show why: its rhythm is faster than they are. */
import { atS, type Finding, rpm } from './finding.js';
import { quietStretches } from './quiet.js';
import { meanOf } from './recording.js';
import type { Subject } from './subject.js';

/** Spark activity while idling that no roughness explains, degrees root mean square: twice what costs 1 in the score. */
const BUSY_DEG = 6;
/** Correlation of spark and speed, at least so far below 0. */
const AGAINST = 0.5;

/** Spark that swings against the speed, however small the swing of the speed that is left. */
export function busySpark(subject: Subject): Finding | null {
  const { recording: { sparkDeg }, phases: { error }, timeOf } = subject;
  if (sparkDeg === null) return null;
  let worst: Finding | null = null;
  for (const [from, to] of quietStretches(subject)) {
    const [s, e] = [sparkDeg.slice(from, to), error.slice(from, to)];
    const [ms, me] = [meanOf(s, 0, s.length), meanOf(e, 0, e.length)];
    let [ss, se, ee] = [0, 0, 0];
    s.forEach((v, k) => {
      const [a, b] = [v - ms, (e[k] as number) - me];
      if (!Number.isNaN(a)) [ss, se, ee] = [ss + a * a, se + a * b, ee + b * b];
    });
    const rms = Math.sqrt(ss / s.length);
    const size = rms / BUSY_DEG;
    if (size < 1 || se > -AGAINST * Math.sqrt(ss * ee) || (worst !== null && worst.size >= size)) continue;
    const [fromS, toS] = [timeOf(from), timeOf(to - 1)];
    worst = {
      cause: 'spark-hunting', load: null, fromS, toS, size, confidence: 0.7, rivals: ['air-proportional-hunting'],
      evidence: [`spark goes to and fro by ${rms.toFixed(1)}° root mean square from ${atS(fromS)} to ${atS(toS)}, against the speed`, `the speed by ${rpm(Math.sqrt(ee / s.length))} root mean square; its rhythm is too fast or too rough for these rows`],
    };
  }
  return worst;
}
