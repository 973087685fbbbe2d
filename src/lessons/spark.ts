/** Spark is fast, air slow. */
import type { Lesson } from './lesson.js';
import { at, firstS, lowest, n } from './read.js';

const side = { file: 'load' } as const;
/** The load comes, s (scenarios/drills/load.yaml). */
const ON_S = 2;
/** Speed below target at which both runs are compared, rpm. */
const BELOW = 60;

export const spark: Lesson = {
  name: 'spark',
  about: 'spark is fast, air slow',
  question: 'A load comes unannounced. Beside the air, the spark may be advanced by 0.1 degree for each rpm below target, 10 degrees at most. What does that do to the sag?',
  choices: [
    { letter: 'a', text: 'Next to nothing: air gives the torque', is: ({ wrong, right }) => Math.abs(right.scored.metrics.sagRpm! / wrong.scored.metrics.sagRpm! - 1) < 0.05 },
    { letter: 'b', text: 'It is a good deal less deep', is: ({ wrong, right }) => right.scored.metrics.sagRpm! <= 0.95 * wrong.scored.metrics.sagRpm! },
    { letter: 'c', text: 'It is deeper: the two fight', is: ({ wrong, right }) => right.scored.metrics.sagRpm! >= 1.05 * wrong.scored.metrics.sagRpm! },
  ],
  wrong: { ...side, name: 'air alone', set: [] },
  right: { ...side, name: 'air and spark', set: ['controller.spark.rate=0.1'] },
  tell: ({ wrong: { trace: air, scored: scoredAir }, right: { trace: both, scored: scoredBoth } }) => {
    const before = at(both, 'sparkDeg', ON_S - 0.1);
    const advanced = firstS(both, ON_S, (v) => v('sparkDeg') > before + 3)!;
    const mapBefore = at(both, 'mapKpa', ON_S - 0.1);
    const filled = firstS(both, ON_S, (v) => v('mapKpa') > mapBefore + 3)!;
    const sameS = [air, both].map((trace) => firstS(trace, ON_S, (v) => v('speedRpm') < v('targetRpm') - BELOW)!);
    const soon = ON_S + 0.4;
    const [torque, torqueBoth] = [at(air, 'indicatedNm', soon), at(both, 'indicatedNm', soon)];
    const later = ON_S + 6;
    return [
      { atS: advanced, says: `With spark: 3 degrees of advance are there ${n(1000 * (advanced - ON_S))} ms after the load. Manifold pressure takes ${n(1000 * (filled - ON_S))} ms to rise by 3 kPa, though the valve began to move as soon.`, holds: advanced < filled },
      { atS: soon, says: `${n(1000 * (soon - ON_S))} ms after the load the engine makes ${n(torque, 1)} N·m indicated on air alone, and ${n(torqueBoth, 1)} with the spark: the same charge, burnt at a better time.`, holds: torqueBoth > torque },
      { atS: sameS[1]!, says: `The first ${BELOW} rpm of the sag take ${n(1000 * (sameS[0]! - ON_S))} ms on air alone and ${n(1000 * (sameS[1]! - ON_S))} ms with spark.`, holds: sameS[1]! >= sameS[0]! },
      { atS: lowest(both, 'speedRpm', ON_S, 8).atS, says: `Deepest sag: ${n(scoredAir.metrics.sagRpm!)} rpm on air alone, ${n(scoredBoth.metrics.sagRpm!)} with spark.`, holds: scoredBoth.metrics.sagRpm! < 0.85 * scoredAir.metrics.sagRpm! },
      { atS: later, says: `Six seconds on the spark is back within ${n(Math.abs(at(both, 'sparkDeg', later) - before), 1)} degrees of where it was: air has taken the load over, and the spark is free for the next.`, holds: Math.abs(at(both, 'sparkDeg', later) - before) < 1.5 },
    ];
  },
  exercise: {
    task: 'Choose a rate and an authority of the spark trim so that the sag stays within 160 rpm and the flare within 115 rpm.',
    start: { ...side, name: 'air alone', set: ['limits.sag=160', 'limits.flare=115'] },
    mayChange: ['controller.spark.rate', 'controller.spark.authority'],
  },
};
