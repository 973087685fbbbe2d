/** Altitude: thinner air, the same valve. */
import type { Lesson } from './lesson.js';
import { at, n } from './read.js';

const side = { file: 'load' } as const;
const HIGH = 'engine.ambient.altitude=2000 m';
/** Before the load comes, and at the end of it, s (scenarios/drills/load.yaml). */
const [BEFORE_S, HELD_S] = [1.9, 8.9];

export const altitude: Lesson = {
  name: 'altitude',
  about: 'the same settings 2000 m up',
  question: 'An idle that was set at sea level is driven 2000 m up a mountain. The same load comes. What is different?',
  choices: [
    { letter: 'a', text: 'Nothing: the loop makes it the same', is: ({ wrong, right }) => Math.abs(wrong.scored.metrics.sagRpm! - right.scored.metrics.sagRpm!) < 3 },
    { letter: 'b', text: 'It sags deeper', is: ({ wrong, right }) => wrong.scored.metrics.sagRpm! >= right.scored.metrics.sagRpm! + 3 },
    { letter: 'c', text: 'It sags less: thin air is easier to pump', is: ({ wrong, right }) => wrong.scored.metrics.sagRpm! <= right.scored.metrics.sagRpm! - 3 },
  ],
  wrong: { ...side, name: '2000 m', set: [HIGH] },
  right: { ...side, name: 'sea level', set: [] },
  tell: ({ wrong: { trace: high, scored }, right: { trace: sea, scored: scoredSea } }) => {
    const worth = (trace: typeof sea): number => (at(trace, 'airGs', HELD_S) - at(trace, 'airGs', BEFORE_S)) / (at(trace, 'openingPct', HELD_S) - at(trace, 'openingPct', BEFORE_S));
    const asked = (trace: typeof sea): number => at(trace, 'air', HELD_S) - at(trace, 'air', BEFORE_S);
    return [
      { atS: BEFORE_S, says: `Before the load both idle at ${n(at(high, 'speedRpm', BEFORE_S))} rpm.`, holds: Math.abs(at(high, 'speedRpm', BEFORE_S) - at(sea, 'speedRpm', BEFORE_S)) < 5 },
      { atS: HELD_S, says: `Up there 1 % of opening brings ${n(1000 * worth(high))} mg/s of air, at sea level ${n(1000 * worth(sea))}.`, holds: worth(high) < 0.9 * worth(sea) },
      { atS: HELD_S, says: `The load takes the same torque, so the command has to rise by ${n(asked(high), 1)} % there and by ${n(asked(sea), 1)} % here. Each gain is worth that much less.`, holds: asked(high) > 1.1 * asked(sea) },
      { atS: null, says: `Deepest sag: ${n(scored.metrics.sagRpm!)} rpm up there, ${n(scoredSea.metrics.sagRpm!)} here.`, holds: scored.metrics.sagRpm! > scoredSea.metrics.sagRpm! + 3 },
    ];
  },
  exercise: {
    task: 'At 2000 m, choose gains with which the sag is back within 200 rpm, settled within 4 s.',
    start: { ...side, name: '2000 m', set: [HIGH, 'limits.sag=200', 'limits.settling=4'] },
    mayChange: ['controller.pid'],
  },
};
