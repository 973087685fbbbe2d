/** What derivative does, and what roughness does to it. */
import type { Lesson } from './lesson.js';
import { at, highest, mean, n, wobble } from './read.js';

const side = { file: 'rough' } as const;
const LOAD = { file: 'load' } as const;
const [FROM_S, TO_S] = [5, 29];
/** Time over which the filtered derivative looks back, about, s. */
const FALL_S = 0.1;

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
    const peak = highest(wrong.trace, 'air', FROM_S, TO_S);
    const fell = at(wrong.trace, 'speedRpm', peak.atS - FALL_S) - at(wrong.trace, 'speedRpm', peak.atS);
    const jump = peak.value - mean(wrong.trace, 'air', FROM_S, TO_S);
    return [
      { atS: null, says: `No two firings give the same torque: it scatters by ${n(torque, 1)} N·m, and the speed jitters with it.`, holds: torque > 1 },
      { atS: null, says: `Derivative answers how fast the speed changes, and jitter changes fast. Five times the gain moves the air command ${n(kick, 1)} times as much.`, holds: kick > 1.5 },
      { atS: peak.atS, says: `Here weak firings have let the speed fall by ${n(fell)} rpm in ${n(1000 * FALL_S)} ms. The command jumps ${n(jump, 1)} % above its mean for that, and what it lets in burns when the speed has long turned.`, holds: fell > 0 && jump > 3 },
      { atS: null, says: `The valve travels ${n(travel, 1)} % a second in place of ${n(travelRight, 1)}: wear, and noise in the charge.`, holds: travel > 2 * travelRight },
      { atS: null, says: `The speed scatters by ${n(speed, 1)} rpm, and by ${n(speedRight, 1)} with the lower gain: air comes too late to answer a single firing.`, holds: Math.abs(speed - speedRight) < 0.4 * speedRight },
    ];
  },
  exercise: {
    task: 'A load of 8 N·m comes unannounced, on this rough engine. Choose the derivative gain so that the sag stays within 200 rpm and the valve travels no more than 5 % of its range a second.',
    start: { ...LOAD, name: 'a load, rough', set: ['engine.roughness=6 %', 'controller.pid.kd=0', 'limits.sag=200', 'limits.valveTravel=5'] },
    mayChange: ['controller.pid.kd'],
  },
};
