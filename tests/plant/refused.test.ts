/** Engines and valves that cannot be are refused before the first step, by name. */
import { describe, expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { engineTable } from '../../src/plant/engine.js';
import { createPlant } from '../../src/plant/plant.js';
import { valveTable } from '../../src/plant/valves/index.js';

const make = (engine: object, valve: object = {}, step = 0.001) =>
  createPlant(fill(engineTable, engine as never, 'engine'), fill({ valve: valveTable }, { valve } as never).valve, { step });

describe('a RangeError names the key', () => {
  test.each<[string, object, object, RegExp]>([
    ['an inertia beyond its range', { inertia: 180 }, {}, /^engine\.inertia: 180 is outside 0\.01 … 2$/],
    ['a displacement that is no number', { displacement: Number.NaN }, {}, /^engine\.displacement: NaN/],
    ['an unknown key', { inertias: 1 }, {}, /^engine\.inertias: unknown; known here: .*inertia/],
    ['an unknown law', { friction: { law: 'none' } }, {}, /^engine\.friction\.law: none is none of rubbing, polynomial, barnes-moss/],
    ['a pumping that is none of the options', { pumping: 'some' }, {}, /^engine\.pumping: some is none of mean-effective, none/],
    ['a catch speed below the stall speed', { crank: { catch: 30, stall: 40 } }, {}, /^engine\.crank\.catch: must lie above engine\.crank\.stall/],
    ['a lambda curve that goes back', { fuel: { lambda: { x: [300, 290], y: [1, 1] } } }, {}, /^engine\.fuel\.lambda: x must ascend/],
    ['a wax curve with a hole', { wax: { x: [270, 300], y: [0, Number.NaN] } }, {}, /^engine\.wax: point 2/],
    ['friction that falls through zero', { friction: { law: 'rubbing', fmepSpeed: -2000 } }, {}, /^engine\.friction\.fmep: its polynomial comes to -5\.39 at 3000 rpm; it must not fall below zero/],
    ['a friction torque that dips below zero in between', { friction: { law: 'polynomial', torque: 8, torqueSpeed: -0.1, torqueSpeed2: 2e-4 } }, {}, /^engine\.friction\.torque: its polynomial comes to -4\.5 at 2387 rpm/],
    ['a filling that draws nothing at speed', { charge: { law: 'residual', fillingSpeed: -0.003 } }, {}, /^engine\.charge\.filling: its polynomial comes to -0\.412 at 3000 rpm; it must stay above zero/],
    ['a valve that does not exist', {}, { kind: 'motor' }, /valve\.kind: motor is none of solenoid, stepper/],
    ['a stepper that is too fast', {}, { kind: 'stepper', rate: 5000 }, /valve\.rate: 5000 is outside 5 … 2000/],
    ['a flow curve that falls', {}, { flow: { x: [0, 50, 100], y: [0, 60, 50] } }, /^valve\.flow: falls/],
  ])('%s', (_name, engine, valve, message) => {
    expect(() => make(engine, valve)).toThrow(RangeError);
    expect(() => make(engine, valve)).toThrow(message);
  });

  test('a step too long for the throttle names one that will do, and it does', () => {
    for (const volume of [0.3e-3, 0.45e-3, 0.77e-3, 1.1e-3, 1.29e-3]) {
      let message = '';
      try {
        make({ manifold: { volume } }, {}, 0.005);
      } catch (error) {
        message = (error as RangeError).message;
      }
      const named = /^run\.step: 5 ms is too long .* at most ([\d.]+) ms$/.exec(message)?.[1];
      expect(named, message).toBeDefined();
      make({ manifold: { volume } }, {}, Number(named) / 1e3);
    }
  });
});
