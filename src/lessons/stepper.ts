/** Stepper against solenoid. */
import type { Lesson } from './lesson.js';
import { at, n } from './read.js';

const side = { file: 'stepper' } as const;
/** The load comes, s (scenarios/drills/load.yaml). */
const ON_S = 2;

export const stepper: Lesson = {
  name: 'stepper',
  about: 'stepper against solenoid',
  question: 'The same engine and load: a stepper on integral alone with a dead band, and a solenoid on all three terms. How do they compare?',
  choices: [
    { letter: 'a', text: 'Alike: the same air in the end', is: ({ wrong, right }) => Math.abs(wrong.scored.metrics.sagRpm! / right.scored.metrics.sagRpm! - 1) < 0.1 },
    { letter: 'b', text: 'The stepper sags less: it moves exactly', is: ({ wrong, right }) => wrong.scored.metrics.sagRpm! <= 0.9 * right.scored.metrics.sagRpm! },
    { letter: 'c', text: 'The stepper sags deeper', is: ({ wrong, right }) => wrong.scored.metrics.sagRpm! >= 1.1 * right.scored.metrics.sagRpm! },
  ],
  wrong: { ...side, name: 'stepper', set: [] },
  right: { file: 'load', name: 'solenoid', set: [] },
  tell: ({ wrong: { trace: steps, scored, scenario: { valve } }, right: { trace: pulses, scored: scoredPulses } }) => {
    if (valve.kind !== 'stepper') throw new RangeError('this lesson is about a stepper');
    const afterS = 0.3;
    const soon = ON_S + afterS;
    const opened = (trace: typeof steps): number => at(trace, 'openingPct', soon) - at(trace, 'openingPct', ON_S - 0.1);
    const filled = (trace: typeof steps): number => at(trace, 'mapKpa', soon) - at(trace, 'mapKpa', ON_S - 0.1);
    return [
      { atS: soon, says: `${n(afterS, 1)} s after the load the stepper has opened by ${n(opened(steps), 1)} %, the solenoid by ${n(opened(pulses), 1)}.`, holds: opened(steps) < opened(pulses) },
      { atS: soon, says: `That is not the motor: it could have made ${n(afterS * valve.rate)} of its ${n(valve.steps)} steps by then. It is that the integral alone has not asked for more.`, holds: opened(steps) < (50 * afterS * valve.rate) / valve.steps },
      { atS: soon, says: `The manifold has risen by ${n(filled(steps), 1)} kPa with the stepper and by ${n(filled(pulses), 1)} with the solenoid; torque follows.`, holds: filled(steps) < filled(pulses) },
      { atS: null, says: `Deepest sag: ${n(scored.metrics.sagRpm!)} rpm with the stepper, ${n(scoredPulses.metrics.sagRpm!)} with the solenoid.`, holds: scored.metrics.sagRpm! > 1.1 * scoredPulses.metrics.sagRpm! },
      { atS: null, says: `In steady idle the stepper stands still (${n(scored.metrics.valveTravelPctPerS ?? 0, 1)} % a second): its dead band lets whole steps rest.`, holds: (scored.metrics.valveTravelPctPerS ?? 1) < 0.05 },
    ];
  },
  exercise: {
    task: 'Give the stepper a proportional gain beside its integral: a sag within 230 rpm, settled within 5 s.',
    start: { ...side, name: 'stepper', set: ['limits.sag=230', 'limits.settling=5'] },
    mayChange: ['controller.pid'],
  },
};
