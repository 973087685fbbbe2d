/** Wind-up, and the limits that cause it. */
import type { Lesson } from './lesson.js';
import { at, firstS, highest, n, surplus } from './read.js';

const side = { file: 'wind-up' } as const;
/** The load comes and goes, s (scenarios/lessons/wind-up.yaml). */
const [ON_S, OFF_S] = [2, 12];
/** Time after the load has gone at which both are looked at, s. */
const LATER_S = 1.5;

export const windUp: Lesson = {
  name: 'wind-up',
  about: 'wind-up, and the limits that cause it',
  question: 'The air command is clamped at 26 %. A load comes that needs more, stays for ten seconds, and goes. The integral simply adds up the error all the while. What happens as the load goes?',
  choices: [
    { letter: 'a', text: 'It is back at once: the air was at its limit only', is: ({ wrong: { scored } }) => (scored.events[1]!.settlingTimeS ?? Number.POSITIVE_INFINITY) < 2 },
    { letter: 'b', text: 'It hangs above target for seconds', is: ({ wrong: { scored, trace } }) => !trace.stalled && (scored.events[1]!.settlingTimeS ?? Number.POSITIVE_INFINITY) >= 2 && scored.events[1]!.sagRpm! < 100 },
    { letter: 'c', text: 'It drops below target, worn out', is: ({ wrong: { scored, trace } }) => trace.stalled || (scored.events[1]!.settlingTimeS ?? Number.POSITIVE_INFINITY) >= 2 && scored.events[1]!.sagRpm! >= 100 },
  ],
  wrong: { ...side, name: 'adds up', set: ['controller.pid.antiWindup=none'] },
  right: { ...side, name: 'stands still', set: ['controller.pid.antiWindup=conditional'] },
  tell: ({ wrong: { trace: wound, scored, scenario }, right: { trace: still, scored: scoredStill } }) => {
    const { clamp, pid } = scenario.controller;
    const just = OFF_S - 0.1;
    const limited = firstS(wound, ON_S, (v) => v('air') >= clamp.highest - 1e-6)!;
    const short = at(wound, 'targetRpm', just) - at(wound, 'speedRpm', just);
    const asked = sumOfError(wound, limited, OFF_S) * pid.ki;
    const soon = OFF_S + LATER_S;
    const leaves = firstS(wound, OFF_S, (v) => v('air') < clamp.highest - 1e-6)!;
    const leavesStill = firstS(still, OFF_S, (v) => v('air') < clamp.highest - 1e-6)!;
    const [peak, peakStill] = [highest(wound, 'speedRpm', OFF_S), highest(still, 'speedRpm', OFF_S)];
    return [
      { atS: limited, says: `${n(limited - ON_S, 1)} s after the load the command is at its limit of ${n(clamp.highest)} %.`, holds: limited > ON_S && limited < OFF_S },
      { atS: just, says: `Held there it stands ${n(short)} rpm below target, ${n(at(wound, 'indicatedNm', just), 1)} N·m indicated against ${n(at(wound, 'frictionNm', just) + at(wound, 'pumpingNm', just), 1)} of friction and pumping and ${n(at(wound, 'loadNm', just), 1)} of load. No setting of the loop can change that: the air is not there. The limit is too tight for this load.`, holds: short > 30 && Math.abs(surplus(wound, just)) < 1 },
      { atS: just, says: `Adds up: over that time the integral has asked for another ${n(asked, 1)} % of air, which nobody can see.`, holds: asked > 5 },
      { atS: leaves, says: `Adds up: the load has gone, the engine races, and the command stays at its limit for ${n(leaves - OFF_S, 1)} s: first all that has to be taken off again. Stands still: ${n(leavesStill - OFF_S, 2)} s.`, holds: leaves - OFF_S > 2 && leavesStill - OFF_S < 0.3 },
      { atS: soon, says: `${n(LATER_S, 1)} s after the load has gone it still draws ${n(at(wound, 'airGs', soon), 2)} g/s of air and runs at ${n(at(wound, 'speedRpm', soon))} rpm; with an integral that stood still it is ${n(at(still, 'airGs', soon), 2)} g/s and ${n(at(still, 'speedRpm', soon))} rpm.`, holds: at(wound, 'speedRpm', soon) > at(still, 'speedRpm', soon) + 50 && at(wound, 'airGs', soon) > at(still, 'airGs', soon) },
      { atS: peak.atS, says: `Flare ${n(scored.events[1]!.flareRpm!)} rpm in place of ${n(scoredStill.events[1]!.flareRpm!)}, back within ${n(scored.events[1]!.settlingTimeS ?? 0, 1)} s in place of ${n(scoredStill.events[1]!.settlingTimeS ?? 0, 1)}.`, holds: peak.value > peakStill.value + 20 && scored.events[1]!.settlingTimeS! > 2 * scoredStill.events[1]!.settlingTimeS! },
    ];
  },
  exercise: {
    task: 'Another way is back-calculation: what the limit cut off is led back to the integral, the faster the shorter the tracking time. Ten seconds is too slow. Keep the flare within 145 rpm.',
    start: { ...side, name: 'tracking time 10 s', set: ['controller.pid.antiWindup=back-calculation', 'controller.pid.trackingTime=10 s', 'limits.flare=145'] },
    mayChange: ['controller.pid.trackingTime'],
  },
};

/** Target less speed, added up over a time, rpm s. */
function sumOfError(trace: Parameters<typeof at>[0], fromS: number, toS: number): number {
  let sum = 0;
  const steps = Math.round((toS - fromS) / trace.recordS);
  for (let k = 0; k < steps; k++) sum += (at(trace, 'targetRpm', fromS + k * trace.recordS) - at(trace, 'sensedRpm', fromS + k * trace.recordS)) * trace.recordS;
  return sum;
}
