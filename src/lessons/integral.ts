/** Integral alone and its limits. */
import type { Lesson } from './lesson.js';
import { at, firstS, highest, lowest, n } from './read.js';

const side = { file: 'load' } as const;
/** The load comes, and goes, s (scenarios/drills/load.yaml). */
const [ON_S, OFF_S] = [2, 9];
const ALONE = ['controller.pid.kp=0', 'controller.pid.kd=0'];

export const integral: Lesson = {
  name: 'integral',
  about: 'integral alone, and its limits',
  question: 'On integral alone at 0.03 %/(rpm s) an idle sags too deep under a load. So the integral is made five times as strong. What happens?',
  choices: [
    { letter: 'a', text: 'It sags less and settles: the more, the better', is: ({ wrong }) => !wrong.trace.stalled && wrong.scored.metrics.settlingTimeS !== null },
    { letter: 'b', text: 'It overshoots, hangs, and in the end stalls', is: ({ wrong }) => wrong.trace.stalled },
    { letter: 'c', text: 'It swings on, but never stalls', is: ({ wrong }) => !wrong.trace.stalled && wrong.scored.metrics.settlingTimeS === null },
  ],
  wrong: { ...side, name: 'integral alone', set: [...ALONE, 'controller.pid.ki=0.15'] },
  right: { ...side, name: 'with kp and kd', set: [] },
  tell: ({ wrong: { trace: alone }, right: { trace: all, scored } }) => {
    const [low, lowAll] = [lowest(alone, 'speedRpm', ON_S, 3.8), lowest(all, 'speedRpm', ON_S, 3.8)];
    const early = ON_S + 0.2;
    const [given, givenAll] = [at(alone, 'air', early) - at(alone, 'air', ON_S - 0.1), at(all, 'air', early) - at(all, 'air', ON_S - 0.1)];
    const peakAir = at(alone, 'air', low.atS);
    const peak = highest(alone, 'speedRpm', low.atS, OFF_S);
    const opensS = firstS(alone, low.atS, (v) => v('closed') === 0) ?? ON_S;
    const againS = firstS(alone, opensS, (v) => v('closed') === 1) ?? ON_S;
    const hangs = at(alone, 'speedRpm', OFF_S - 0.1) - at(alone, 'targetRpm', OFF_S - 0.1);
    const shut = lowest(alone, 'air', againS);
    return [
      { atS: early, says: `A fifth of a second after the load the integral has added ${n(given, 1)} % of air; with proportional and derivative beside it ${n(givenAll, 1)} %. An integral first has to add up.`, holds: givenAll > given && givenAll > 1.4 * given },
      { atS: low.atS, says: `At the bottom of the first sag, ${n(low.value)} rpm (${n(lowAll.value)} with all three), the air is at ${n(peakAir, 1)} % and still being raised, for the speed is still below target. Nothing takes it back until the speed is past target.`, holds: low.value < lowAll.value && at(alone, 'air', low.atS + 0.1) > peakAir },
      { atS: peak.atS, says: `So it overshoots, to ${n(peak.value)} rpm. On the way, above its window, the loop opens, with all that air in its hands: ${n(at(alone, 'air', opensS + 0.1), 1)} %.`, holds: peak.value > 1100 && opensS > low.atS && opensS < peak.atS },
      { atS: OFF_S, says: `There the idle hangs, ${n(hangs)} rpm above target with the load still on.`, holds: hangs > 250 },
      { atS: againS, says: `The load goes, forced entry closes the loop on an engine ${n(at(alone, 'speedRpm', againS) - at(alone, 'targetRpm', againS))} rpm too fast, and the integral takes the air down to ${n(shut.value, 1)} % before the speed is back.`, holds: againS > OFF_S - 1 && shut.value < 15 },
      { atS: alone.stallTimeS, says: 'The manifold is empty by then. The engine falls through target and stalls.', holds: alone.stalled && !all.stalled },
      { atS: null, says: `With all three terms it settles in ${n(scored.metrics.settlingTimeS ?? 0, 1)} s at the longest.`, holds: scored.metrics.settlingTimeS !== null },
    ];
  },
  exercise: {
    task: 'Keep proportional and derivative at zero. Find an integral gain with which the engine at least lives through the load and the sag is no more than 275 rpm, the flare no more than 250 rpm, and the integral of the error at most 600 rpm s.',
    start: { ...side, name: 'integral alone', set: [...ALONE, 'controller.pid.ki=0.15', 'limits.sag=275', 'limits.flare=250', 'limits.iae=600'] },
    mayChange: ['controller.pid.ki'],
  },
};
