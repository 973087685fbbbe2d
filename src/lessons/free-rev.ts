/** Why a free-rev with early entry stalls. */
import type { Lesson } from './lesson.js';
import { at, firstS, lowest, n, surplus, throttleShutS } from './read.js';

const side = { file: 'free-rev' } as const;

export const freeRev: Lesson = {
  name: 'free-rev',
  about: 'why a free-rev with early entry stalls',
  question: 'A warm engine idles well at 800 rpm. In neutral it is revved to 3000 rpm and let go. The idle loop may take over as soon as the throttle shuts. What happens?',
  choices: [
    { letter: 'a', text: 'It settles sooner: the loop has more time to work', is: ({ wrong, right }) => !wrong.trace.stalled && wrong.scored.metrics.settlingTimeS! < right.scored.metrics.settlingTimeS! },
    { letter: 'b', text: 'It stalls on the way down', is: ({ wrong }) => wrong.trace.stalled },
    { letter: 'c', text: 'No difference: it comes down to the same idle', is: ({ wrong, right }) => !wrong.trace.stalled && wrong.scored.metrics.settlingTimeS! >= right.scored.metrics.settlingTimeS! },
  ],
  wrong: { ...side, name: 'closes at once', set: [] },
  right: { ...side, name: 'waits', set: ['controller.entry.window=150'] },
  tell: ({ wrong: { trace: early }, right: { trace: late } }) => {
    const shutS = throttleShutS(early)!;
    const closesS = firstS(early, shutS, (v) => v('closed') === 1)!;
    const waitsS = firstS(late, shutS, (v) => v('closed') === 1)!;
    const crossing = firstS(early, shutS, (v) => v('speedRpm') < v('targetRpm'))!;
    const crossingLate = firstS(late, shutS, (v) => v('speedRpm') < v('targetRpm'))!;
    const [airEarly, airLate] = [lowest(early, 'air', shutS, crossing), at(late, 'air', crossingLate)];
    const [short, shortLate] = [surplus(early, crossing), surplus(late, crossingLate)];
    const above = at(early, 'speedRpm', closesS) - at(early, 'targetRpm', closesS);
    const aboveLate = at(late, 'speedRpm', waitsS) - at(late, 'targetRpm', waitsS);
    return [
      { atS: closesS, says: `Closes at once: the loop closes ${n(above)} rpm above target. To the controller the engine is far too fast, so it takes air away, and goes on taking.`, holds: above > 1000 },
      { atS: waitsS, says: `Waits: the loop stays open until the speed is ${n(aboveLate)} rpm above target. Until then the valve stands where an idle needs it.`, holds: aboveLate < 200 && waitsS > closesS },
      { atS: airEarly.atS, says: `Closes at once: before the speed has even reached target the air is down to ${n(airEarly.value, 1)} %. The one that waits has ${n(airLate, 1)} % there.`, holds: airEarly.value < 0.5 * airLate },
      { atS: crossing, says: `Closes at once: as the speed falls through target the engine is ${n(-short, 1)} N·m short of what friction and pumping take; the one that waits ${n(-shortLate, 1)} N·m. That shortage is what pulls the crank down.`, holds: short < 0 && short < shortLate },
      { atS: early.stallTimeS, says: `Closes at once: the controller asks for air again, but valve and manifold have to fill first. It stalls ${n((early.stallTimeS ?? 0) - crossing, 1)} s after passing target.`, holds: early.stalled && !late.stalled },
      { atS: lowest(late, 'speedRpm', waitsS).atS, says: `Waits: the lowest is ${n(lowest(late, 'speedRpm', waitsS).value)} rpm, and it idles on.`, holds: lowest(late, 'speedRpm', waitsS).value > 600 },
    ];
  },
  exercise: {
    task: 'This engine has a lighter flywheel (0.11 kg·m²) and comes down faster. Set the entry so that it comes back with a sag of no more than 200 rpm, settled within 5 s.',
    start: { ...side, name: 'lighter flywheel', set: ['engine.inertia=0.11', 'limits.sag=200', 'limits.settling=5'] },
    mayChange: ['controller.entry'],
  },
};
