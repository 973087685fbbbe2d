/** What derivative does, and what roughness does to it. */
import type { Lesson } from './lesson.js';
import { n, wobble } from './read.js';

const side = { file: 'rough' } as const;
const LOAD = { file: 'load' } as const;
const [FROM_S, TO_S] = [5, 29];

export const derivative: Lesson = {
  name: 'derivative',
  about: 'what derivative does, and what roughness does to it',
  question: 'An engine idles with uneven firings, nothing else going on. The derivative gain is made five times as strong. What changes most?',
  choices: [
    { letter: 'a', text: 'The speed becomes much smoother', is: ({ wrong, right }) => wobble(wrong.trace, 'speedRpm', FROM_S, TO_S) < 0.6 * wobble(right.trace, 'speedRpm', FROM_S, TO_S) },
    { letter: 'b', text: 'The valve works much harder, for little in the speed', is: ({ wrong, right }) => wrong.scored.metrics.valveTravelPctPerS! > 2 * right.scored.metrics.valveTravelPctPerS! && wobble(wrong.trace, 'speedRpm', FROM_S, TO_S) >= 0.6 * wobble(right.trace, 'speedRpm', FROM_S, TO_S) },
    { letter: 'c', text: 'Nothing: derivative acts only on loads', is: ({ wrong, right }) => wrong.scored.metrics.valveTravelPctPerS! < 1.2 * right.scored.metrics.valveTravelPctPerS! },
  ],
  wrong: { ...side, name: 'kd 0.02', set: ['controller.pid.kd=0.02'] },
  right: { ...side, name: 'kd 0.004', set: [] },
  tell: ({ wrong, right }) => {
    const [travel, travelRight] = [wrong.scored.metrics.valveTravelPctPerS!, right.scored.metrics.valveTravelPctPerS!];
    const [speed, speedRight] = [wobble(wrong.trace, 'speedRpm', FROM_S, TO_S), wobble(right.trace, 'speedRpm', FROM_S, TO_S)];
    const [torque, kick] = [wobble(right.trace, 'indicatedNm', FROM_S, TO_S), wobble(wrong.trace, 'air', FROM_S, TO_S) / wobble(right.trace, 'air', FROM_S, TO_S)];
    return [
      { atS: null, says: `No two firings give the same torque: it scatters by ${n(torque, 1)} N·m, and the speed jitters with it.`, holds: torque > 1 },
      { atS: null, says: `Derivative answers how fast the speed changes, and jitter changes fast. Five times the gain moves the air command ${n(kick, 1)} times as much.`, holds: kick > 1.5 },
      { atS: null, says: `The valve travels ${n(travel, 1)} % a second in place of ${n(travelRight, 1)}: wear, and noise in the charge.`, holds: travel > 2 * travelRight },
      { atS: null, says: `For that the speed scatters by ${n(speed, 1)} rpm in place of ${n(speedRight, 1)}: air comes too late to answer a single firing.`, holds: Math.abs(speed - speedRight) < 0.4 * speedRight },
    ];
  },
  exercise: {
    task: 'A load of 8 N·m comes unannounced. Choose the derivative gain so that the sag stays within 200 rpm, with no more than 0.02 % s/rpm.',
    start: { ...LOAD, name: 'a load', set: ['controller.pid.kd=0', 'limits.sag=200'] },
    mayChange: ['controller.pid.kd'],
  },
};
