/** Cold oil: what it takes, and why the base air is a curve against coolant. */
import { oilThickness } from '../plant/oil.js';
import { toSI } from '../parameter/unit.js';
import type { Lesson, Ran } from './lesson.js';
import { at, firstS, n } from './read.js';

const side = { file: 'cold-oil' } as const;
const COLD_C = -20;
/** Near enough to target, rpm, and for how long both are looked at after the catch, s. */
const [NEAR, SOON_S] = [50, 1.5];

/** The engine runs on its own, s. */
const caughtS = ({ trace }: Ran): number => firstS(trace, 0, (v) => v('speedRpm') > 600)!;
const nearS = (ran: Ran): number | null => firstS(ran.trace, caughtS(ran) + SOON_S, (v) => Math.abs(v('speedRpm') - v('targetRpm')) < NEAR);
const below = (ran: Ran): number => at(ran.trace, 'targetRpm', caughtS(ran) + SOON_S) - at(ran.trace, 'speedRpm', caughtS(ran) + SOON_S);

export const coldOil: Lesson = {
  name: 'cold-oil',
  about: 'cold oil, and why the base air is a curve',
  question: 'The base air was set on the warm engine, 22 %, and is the same at every temperature. The engine is started at −20 °C. The loop is closed and may add what is missing. What happens?',
  choices: [
    { letter: 'a', text: 'The loop makes up for it; nobody notices', is: ({ wrong }) => !wrong.trace.stalled && below(wrong) < 2 * NEAR },
    { letter: 'b', text: 'It starts, and hangs far below target for seconds', is: ({ wrong }) => !wrong.trace.stalled && below(wrong) >= 2 * NEAR },
    { letter: 'c', text: 'It dies as soon as the starter lets go', is: ({ wrong }) => wrong.trace.stalled },
  ],
  wrong: { ...side, name: '22 % always', set: ['controller.base=[[80, 22]]'] },
  right: { ...side, name: 'against coolant', set: [] },
  tell: ({ wrong, right }) => {
    const { trace: flat, scenario } = wrong;
    const { trace: curve } = right;
    if (scenario.engine.model !== 'mean-value') throw new RangeError('this lesson is about an engine with oil');
    const thicker = oilThickness(scenario.engine.oil, toSI(COLD_C, 'degC'));
    const [soon, soonCurve] = [caughtS(wrong) + SOON_S, caughtS(right) + SOON_S];
    const endS = flat.columns.timeS[flat.rows - 1]!;
    const friction = at(flat, 'frictionNm', endS);
    const base = scenario.controller.base.y.at(-1)!;
    const [near, nearCurve] = [nearS(wrong), nearS(right)];
    return [
      { atS: endS, says: `Oil at ${n(COLD_C)} °C is so thick that friction is ${n(thicker, 1)} times what it is at 90 °C: ${n(friction, 1)} N·m at the cold target of ${n(at(flat, 'targetRpm', endS))} rpm.`, holds: thicker > 2 && friction > 25 },
      { atS: endS, says: `To make that, the engine idles on ${n(at(flat, 'air', endS), 1)} % of air and ${n(at(flat, 'mapKpa', endS), 1)} kPa. Warm it wants ${n(base)} %.`, holds: at(flat, 'air', endS) > 2 * base },
      { atS: soon, says: `22 % always: ${n(SOON_S, 1)} s after it caught, the air is at ${n(at(flat, 'air', soon), 1)} %. The full manifold of the start is used up, and the speed is ${n(below(wrong))} rpm below target.`, holds: at(flat, 'air', soon) < at(flat, 'air', endS) - 10 && below(wrong) > 2 * NEAR },
      { atS: soonCurve, says: `Against coolant: at that time the base alone brings ${n(at(curve, 'air', soonCurve), 1)} %, and the speed is ${n(Math.abs(below(right)))} rpm ${below(right) < 0 ? 'above' : 'below'} target.`, holds: at(curve, 'air', soonCurve) > at(flat, 'air', soon) + 10 && Math.abs(below(right)) < NEAR },
      { atS: near, says: `22 % always: the integral has to add up the ${n(at(flat, 'air', endS) - base, 1)} % that are missing, and it has only the error to add up. It is within ${NEAR} rpm ${n((near ?? 0) - caughtS(wrong), 1)} s after the catch.`, holds: near !== null && nearCurve !== null && near - caughtS(wrong) > 2 + nearCurve - caughtS(right) },
      { atS: null, says: 'A loop corrects what nobody could know. How thick the oil is, the coolant tells beforehand: that belongs in the base.', holds: at(curve, 'air', endS) > 2 * base },
    ];
  },
  exercise: {
    task: 'Someone has filled a thicker oil (110 and 14.5 mm²/s at 40 and 100 °C, an SAE 40 when warm). Choose the base air against coolant so that the same start settles within 3 s, with a flare of no more than 120 rpm.',
    start: { ...side, name: 'thicker oil', set: ['engine.oil.viscosity40=110 mm^2/s', 'engine.oil.viscosity100=14.5 mm^2/s', 'limits.settling=3', 'limits.flare=120'] },
    mayChange: ['controller.base'],
  },
};
