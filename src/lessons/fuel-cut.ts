/** Fuel cut on the overrun. */
import type { Lesson } from './lesson.js';
import { at, firstS, n, surplus, throttleShutS } from './read.js';

const WINDOW = 'controller.entry.window=150';
const side = { file: 'free-rev' } as const;

export const fuelCut: Lesson = {
  name: 'fuel-cut',
  about: 'fuel cut on the overrun',
  question: 'The same free-rev, once without and once with fuel cut while the throttle is shut above idle. What does the cut do to the return?',
  choices: [
    { letter: 'a', text: 'It comes down sooner, and sags deeper', is: ({ wrong, right }) => !wrong.trace.stalled && wrong.scored.metrics.sagRpm! > right.scored.metrics.sagRpm! + 3 },
    { letter: 'b', text: 'It sags less: the fuel comes back fresh', is: ({ wrong, right }) => !wrong.trace.stalled && wrong.scored.metrics.sagRpm! <= right.scored.metrics.sagRpm! + 3 },
    { letter: 'c', text: 'It stalls', is: ({ wrong }) => wrong.trace.stalled },
  ],
  wrong: { ...side, name: 'fuel cut', set: [WINDOW, 'engine.fuelCut.is=on'] },
  right: { ...side, name: 'no cut', set: [WINDOW] },
  tell: ({ wrong: { trace: cut, scored }, right: { trace: none, scored: scoredNone } }) => {
    const shutS = throttleShutS(cut)!;
    const goneS = firstS(cut, shutS, (v) => v('fuelKgh') < 0.01) ?? 0;
    const backS = firstS(cut, goneS, (v) => v('fuelKgh') > 0.01) ?? 0;
    const just = backS - 0.02;
    const down = [cut, none].map((trace) => firstS(trace, throttleShutS(trace)!, (v) => v('speedRpm') < v('targetRpm') + 200)! - throttleShutS(trace)!);
    return [
      { atS: goneS, says: `The fuel goes ${n(goneS - shutS, 1)} s after the throttle has shut, and comes back at ${n(at(cut, 'speedRpm', backS))} rpm.`, holds: goneS > 0 && backS > goneS + 0.1 },
      { atS: just, says: `Just before that the engine makes ${n(at(cut, 'indicatedNm', just), 1)} N·m indicated, and ${n(-surplus(cut, just), 1)} N·m slow the crank. Without the cut it makes ${n(at(none, 'indicatedNm', just), 1)} there, for a fast engine on a shut throttle draws little charge, and ${n(-surplus(none, just), 1)} N·m slow it. So the cut takes less than one thinks.`, holds: at(cut, 'indicatedNm', just) < 0.05 && surplus(cut, just) < surplus(none, just) - 0.3 && surplus(cut, just) > surplus(none, just) - 3 },
      { atS: null, says: `So it is down to 200 rpm above target ${n(down[0]!, 2)} s after the throttle, in place of ${n(down[1]!, 2)} s.`, holds: down[0]! < down[1]! },
      { atS: null, says: `And it sags ${n(scored.metrics.sagRpm!)} rpm, in place of ${n(scoredNone.metrics.sagRpm!)}: a modest difference here, since the fuel is back well above idle.`, holds: scored.metrics.sagRpm! > scoredNone.metrics.sagRpm! + 3 && scored.metrics.sagRpm! < 2 * scoredNone.metrics.sagRpm! },
    ];
  },
  exercise: {
    task: 'With the cut on, choose gains with which the return sags no more than 90 rpm.',
    start: { ...side, name: 'fuel cut', set: [WINDOW, 'engine.fuelCut.is=on', 'limits.sag=90'] },
    mayChange: ['controller.pid'],
  },
};
