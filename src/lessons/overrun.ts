/** The overrun in gear: the car turns the engine, and a closed loop winds the air away. */
import type { Lesson } from './lesson.js';
import { at, firstS, lowest, mean, n, surplus } from './read.js';

const side = { file: 'overrun' } as const;
/** The clutch goes in, s (scenarios/drills/overrun.yaml). */
const CLUTCH_S = 6;

export const overrun: Lesson = {
  name: 'overrun',
  about: 'the overrun in gear, and the clutch at the end of it',
  question: 'The car coasts in top gear, throttle shut, at 2000 rpm. The idle loop is closed all the while. Then the clutch goes in. What happens?',
  choices: [
    { letter: 'a', text: 'The engine stalls', is: ({ wrong }) => wrong.trace.stalled },
    { letter: 'b', text: 'It flares up, free of the car', is: ({ wrong }) => !wrong.trace.stalled && wrong.scored.metrics.flareRpm! > wrong.scored.metrics.sagRpm! },
    { letter: 'c', text: 'It drops smoothly to its idle', is: ({ wrong }) => !wrong.trace.stalled && wrong.scored.metrics.flareRpm! <= wrong.scored.metrics.sagRpm! },
  ],
  wrong: { ...side, name: 'closed in gear', set: ['controller.entry.driven=ignored'] },
  right: { ...side, name: 'open in gear', set: ['controller.entry.window=150', 'controller.entry.driven=clutch-or-neutral'] },
  tell: ({ wrong: { trace: closed }, right: { trace: open } }) => {
    const just = CLUTCH_S - 0.05;
    const closesS = firstS(closed, 0, (v) => v('closed') === 1)!;
    const waitsS = firstS(open, CLUTCH_S, (v) => v('closed') === 1)!;
    const crossing = firstS(closed, CLUTCH_S, (v) => v('speedRpm') < v('targetRpm'))!;
    const openCrossing = firstS(open, CLUTCH_S, (v) => v('speedRpm') < v('targetRpm'))!;
    const driven = mean(closed, 'clutchNm', 2, just);
    const [air, airOpen] = [at(closed, 'air', just), at(open, 'air', just)];
    const low = lowest(open, 'speedRpm', CLUTCH_S);
    return [
      { atS: closesS, says: `In gear the car drives the engine, with ${n(-driven, 1)} N·m on average: taking air away cannot bring the speed down. The closed loop takes it away all the same.`, holds: driven < -2 && closesS < 1 },
      { atS: just, says: `Just before the clutch the air is at ${n(air, 1)} % with the loop closed, and at ${n(airOpen, 1)} % with it open.`, holds: air < 0.3 * airOpen },
      { atS: crossing, says: `Closed in gear: with the clutch in nothing turns the engine but its own torque. Falling through target it is ${n(-surplus(closed, crossing), 1)} N·m short; with the loop kept open ${n(-surplus(open, openCrossing), 1)} N·m.`, holds: surplus(closed, crossing) < surplus(open, openCrossing) - 2 },
      { atS: closed.stallTimeS, says: `Closed in gear: it stalls ${n((closed.stallTimeS ?? 0) - CLUTCH_S, 1)} s after the clutch.`, holds: closed.stalled },
      { atS: waitsS, says: `Open in gear: the loop closes only now, ${n(at(open, 'speedRpm', waitsS) - at(open, 'targetRpm', waitsS))} rpm above target, and catches the engine at ${n(low.value)} rpm.`, holds: waitsS > CLUTCH_S && !open.stalled && low.value > 650 },
    ];
  },
  exercise: {
    task: 'With a lighter flywheel (0.11 kg·m²), set the entry so that the engine comes through the same coasting with a sag of no more than 200 rpm. The car has a switch on the clutch.',
    start: { ...side, name: 'lighter flywheel', set: ['engine.inertia=0.11', 'controller.entry.driven=ignored', 'limits.sag=200'] },
    mayChange: ['controller.entry'],
  },
};
