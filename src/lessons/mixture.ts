/** Why air and not fuel. */
import { mixture as mixtureOf } from '../setup/mixture.js';
import type { Lesson } from './lesson.js';
import { at, lowest, n } from './read.js';

/** The load comes and the mixture is turned; just before both go again, s (scenarios/lessons/mixture.yaml, scenarios/drills/load.yaml). */
const [ON_S, HELD_S] = [2, 8.9];
/** Far below target: what nobody would call held, rpm. */
const FAR = 50;
const STILL = ['controller.pid.kp=0', 'controller.pid.ki=0', 'controller.pid.kd=0'];

export const mixture: Lesson = {
  name: 'mixture',
  about: 'why air and not fuel',
  question: 'A load of 8 N·m comes at idle. The air is left alone; in its place the mixture is turned from lambda 1 to 0.88 at that very moment, where the same air gives the most torque. What does the speed do?',
  choices: [
    { letter: 'a', text: 'It comes back: more fuel is more torque', is: ({ wrong: { trace } }) => !trace.stalled && at(trace, 'speedRpm', HELD_S) >= at(trace, 'targetRpm', HELD_S) - FAR },
    { letter: 'b', text: 'It stays far below target', is: ({ wrong: { trace } }) => !trace.stalled && at(trace, 'speedRpm', HELD_S) < at(trace, 'targetRpm', HELD_S) - FAR },
    { letter: 'c', text: 'It stalls, flooded', is: ({ wrong: { trace } }) => trace.stalled },
  ],
  wrong: { file: 'mixture', name: 'fuel', set: [] },
  right: { file: 'load', name: 'air', set: [] },
  tell: ({ wrong: { trace: fuel, scenario }, right: { trace: air } }) => {
    const { mixture: most, byMixture, airAddsNm } = mixtureOf([scenario]);
    const load = at(fuel, 'loadNm', HELD_S);
    const richest = byMixture.x.findIndex((lambda) => lambda > 0.7999);
    const [speed, speedAir] = [at(fuel, 'speedRpm', HELD_S), at(air, 'speedRpm', HELD_S)];
    const [airs, airsAir] = [at(fuel, 'airGs', HELD_S), at(air, 'airGs', HELD_S)];
    const [before, charge] = [at(fuel, 'mapKpa', ON_S - 0.1), at(fuel, 'mapKpa', HELD_S)];
    const opened = at(air, 'air', HELD_S) - at(air, 'air', ON_S - 0.1);
    const low = lowest(fuel, 'speedRpm', ON_S, HELD_S);
    return [
      { atS: ON_S, says: `At idle the engine makes ${n(at(fuel, 'indicatedNm', ON_S - 0.1), 1)} N·m indicated, and friction and pumping take all of it. The load wants ${n(load, 1)} N·m more.`, holds: load > 5 },
      { atS: ON_S, says: `Fuel: with the air held, the best mixture (lambda ${n(most.at, 2)}) adds ${n(most.addsNm, 2)} N·m. The oxygen is used up; fuel beyond it finds nothing to burn with.`, holds: most.addsNm > 0 && most.addsNm < 0.2 * load },
      { atS: low.atS, says: `Fuel: the speed falls to ${n(low.value)} rpm.`, holds: low.value < at(fuel, 'targetRpm', low.atS) - 2 * FAR },
      { atS: HELD_S, says: `Fuel: it stands at ${n(speed)} rpm, and not by the mixture: the same ${n(airs, 1)} g/s of air goes into fewer strokes, so each charge is bigger (manifold at ${n(charge, 1)} kPa in place of ${n(before, 1)}).`, holds: Math.abs(airs - at(fuel, 'airGs', ON_S - 0.1)) < 0.1 && charge > before + 3 && speed < at(fuel, 'targetRpm', HELD_S) - FAR },
      { atS: HELD_S, says: `Air: the valve is ${n(opened, 1)} % further open, ${n(airsAir, 1)} g/s go in, and the speed is ${n(speedAir)} rpm.`, holds: opened > 2 && airsAir > 1.1 * airs && Math.abs(speedAir - at(air, 'targetRpm', HELD_S)) < 10 },
      { atS: null, says: `And it ends there: at lambda ${n(byMixture.x[richest]!, 1)} the mixture adds ${n(byMixture.changeNm[richest]!, 2)} N·m, less than at its best. The full valve would add ${n(airAddsNm)} N·m, and it can take torque away as well.`, holds: byMixture.changeNm[richest]! < most.addsNm && airAddsNm > load },
    ];
  },
  exercise: {
    task: 'The mixture stays at lambda 1 and the gains at zero, but the controller is told of the load. Choose the air that it adds for it, so that the sag stays within 150 rpm and the speed settles within 4 s.',
    start: { file: 'load', name: 'no air for it', set: [...STILL, 'controller.loads=[{name: load, air: 0}]', 'limits.sag=150', 'limits.settling=4'] },
    mayChange: ['controller.loads.0.air'],
  },
};
