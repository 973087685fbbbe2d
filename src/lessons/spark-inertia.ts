/** Spark rate against inertia: a heavier crank takes a higher rate. */
import type { Lesson } from './lesson.js';
import { at, firstS, highest, n, surplus, wobble } from './read.js';

const side = { file: 'spark-inertia' } as const;
const [FROM_S, TO_S] = [8, 15.5];
const LIGHT = 'engine.inertia=0.08';

export const sparkInertia: Lesson = {
  name: 'spark-inertia',
  about: 'spark rate against inertia',
  question: 'A spark trim of 1.5 degrees a rpm, far above what is usual, is set on an engine with a heavy flywheel (0.4 kg·m²) and on one with a light one (0.08 kg·m²). Which one hunts?',
  choices: [
    { letter: 'a', text: 'The light one', is: ({ wrong, right }) => wobble(wrong.trace, 'speedRpm', FROM_S, TO_S) > 5 && wobble(right.trace, 'speedRpm', FROM_S, TO_S) < 5 },
    { letter: 'b', text: 'The heavy one', is: ({ wrong, right }) => wobble(wrong.trace, 'speedRpm', FROM_S, TO_S) < 5 && wobble(right.trace, 'speedRpm', FROM_S, TO_S) > 5 },
    { letter: 'c', text: 'Both or neither: it is the rate that counts', is: ({ wrong, right }) => wobble(wrong.trace, 'speedRpm', FROM_S, TO_S) > 5 === wobble(right.trace, 'speedRpm', FROM_S, TO_S) > 5 },
  ],
  wrong: { ...side, name: 'light', set: ['controller.spark.rate=1.5', LIGHT] },
  right: { ...side, name: 'heavy', set: ['controller.spark.rate=1.5', 'engine.inertia=0.4'] },
  tell: ({ wrong: { trace: light, scenario }, right: { trace: heavy, scenario: heavier } }) => {
    const [swing, still] = [wobble(light, 'speedRpm', FROM_S, TO_S), wobble(heavy, 'speedRpm', FROM_S, TO_S)];
    const torque = wobble(light, 'indicatedNm', FROM_S, TO_S);
    const ratio = heavier.engine.inertia / scenario.engine.inertia;
    const cycleS = 120 / at(light, 'targetRpm', 1);
    const below = firstS(light, FROM_S + 2, (v) => v('speedRpm') < v('targetRpm') - 10) ?? FROM_S;
    const crossing = firstS(light, below, (v) => v('speedRpm') > v('targetRpm')) ?? FROM_S;
    const top = highest(light, 'speedRpm', crossing, crossing + cycleS);
    const spare = surplus(light, crossing);
    return [
      { atS: null, says: `What is sensed now acts at a later firing: one engine cycle is ${n(1000 * cycleS)} ms at idle, and the trim ticks every ${n(1000 * scenario.controller.periodS)} ms.`, holds: cycleS > scenario.controller.periodS },
      { atS: null, says: `The same torque changes the speed of the light crank ${n(ratio, 1)} times as fast. In the delay it has gone further, so the trim answers a speed that is no more.`, holds: ratio > 4 },
      { atS: crossing, says: `Light: here the speed passes target from below, and nothing would be wanted any more. But what burns now got its spark while the engine was slow: ${n(spare, 1)} N·m are left over.`, holds: spare > 1 },
      { atS: top.atS, says: `Light: so it runs on to ${n(top.value)} rpm, ${n(1000 * (top.atS - crossing))} ms later, and the trim takes as much away, again too late.`, holds: top.value > at(light, 'targetRpm', top.atS) + 15 },
      { atS: null, says: `Light: torque swings by ${n(torque, 1)} N·m and the speed by ${n(swing, 1)} rpm (root mean square), long after a load of ${n(at(light, 'loadNm', TO_S), 1)} N·m.`, holds: torque > 1 && swing > 10 },
      { atS: null, says: `Heavy: the speed scatters by ${n(still, 2)} rpm. Same rate, same delay.`, holds: still < 1 },
    ];
  },
  exercise: {
    task: 'Give the light engine the rate that it can bear: hunting of no more than 5 rpm, and a sag from the small load within 8 rpm (so none at all is no answer).',
    start: { ...side, name: 'light', set: ['controller.spark.rate=1.5', LIGHT, 'limits.hunting=5', 'limits.sag=8'] },
    mayChange: ['controller.spark.rate'],
  },
};
