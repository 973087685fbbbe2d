/** Why the air-conditioner needs a lead. */
import type { Lesson } from './lesson.js';
import { at, highest, lowest, n, surplus } from './read.js';

const side = { file: 'lead' } as const;

export const lead: Lesson = {
  name: 'lead',
  about: 'why the air-conditioner needs a lead',
  question: 'The controller knows the compressor and adds the right air for it. Air and clutch are switched at the same moment. What does the speed do?',
  choices: [
    { letter: 'a', text: 'It stays: the air is right', is: ({ wrong }) => wrong.scored.metrics.sagRpm! < 25 },
    { letter: 'b', text: 'It flares: air is quick, the compressor slow', is: ({ wrong }) => wrong.scored.metrics.sagRpm! >= 25 && highest(wrong.trace, 'speedRpm', 2, 4).value - 800 > wrong.scored.metrics.sagRpm! },
    { letter: 'c', text: 'It sags: the load is there before the air is', is: ({ wrong }) => wrong.scored.metrics.sagRpm! >= 25 && highest(wrong.trace, 'speedRpm', 2, 4).value - 800 <= wrong.scored.metrics.sagRpm! },
  ],
  wrong: { ...side, name: 'at once', set: [] },
  right: { ...side, name: 'air first', set: ['controller.loads.0.lead=0.3 s'] },
  tell: ({ wrong: { trace: once }, right: { trace: first } }) => {
    const [a, b] = [once.events[0]!, first.events[0]!];
    const soon = a.engagedS + 0.25;
    const [loadOnce, loadThere] = [at(once, 'loadNm', soon), at(once, 'loadNm', a.engagedS - 0.05)];
    const [before, then] = [at(once, 'mapKpa', a.engagedS - 0.05), at(once, 'mapKpa', soon)];
    const ahead = at(first, 'mapKpa', b.engagedS);
    const [shortOnce, shortFirst] = [surplus(once, soon), surplus(first, b.engagedS + 0.25)];
    const sag = (trace: typeof once): number => 800 - lowest(trace, 'speedRpm', 2, 6).value;
    const low = lowest(once, 'speedRpm', 2, 6);
    const rise = highest(first, 'speedRpm', b.atS, b.engagedS + 0.1);
    return [
      { atS: soon, says: `At once: a quarter of a second after the clutch the compressor takes ${n(loadOnce - loadThere, 1)} N·m more.`, holds: loadOnce - loadThere > 2 },
      { atS: soon, says: `At once: by then manifold pressure has gone from ${n(before, 1)} to ${n(then, 1)} kPa only. Valve, manifold and the way to the next firing come in between, and the crank is ${n(-shortOnce, 1)} N·m short.`, holds: shortOnce < -1 },
      { atS: low.atS, says: `At once: the speed sags ${n(sag(once))} rpm before torque has caught up.`, holds: sag(once) > 60 },
      { atS: b.engagedS, says: `Air first: the clutch waits ${n(b.engagedS - b.atS, 1)} s. When it takes hold the manifold stands at ${n(ahead, 1)} kPa already (${n(before, 1)} before), and the speed has risen to ${n(rise.value)} rpm.`, holds: ahead > before + 0.5 && rise.value > 800 },
      { atS: b.engagedS + 0.25, says: `Air first: a quarter of a second later the crank is ${shortFirst < 0 ? `${n(-shortFirst, 1)} N·m short` : `${n(shortFirst, 1)} N·m ahead`}, and the sag is ${n(sag(first))} rpm in place of ${n(sag(once))}.`, holds: shortFirst > shortOnce && sag(first) < 0.7 * sag(once) },
    ];
  },
  exercise: {
    task: 'The valve here takes longer (lag 120 ms). Choose the lead so that the sag stays within 100 rpm.',
    start: { ...side, name: 'slower valve', set: ['valve.lag=120 ms', 'limits.sag=100'] },
    mayChange: ['controller.loads.0.lead'],
  },
};
