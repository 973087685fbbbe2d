/** Warm-up: the heat balance closes, the thermostat flattens it, the oil follows, and off is off. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { engineTable } from '../../src/plant/engine.js';
import { createPlant } from '../../src/plant/plant.js';
import type { PlantInputs } from '../../src/plant/types.js';
import { coolantRise, createWarmUp, type WarmUpSettings, warmUpTable } from '../../src/plant/warm-up.js';
import { valveFor } from './any.js';

const ZERO_C = 273.15;
type On = Extract<WarmUpSettings, { is: 'on' }>;
const on = (given: Partial<On> = {}): On => fill({ w: warmUpTable }, { w: { is: 'on', ...given } } as never).w as On;
const [LITRES, HEATING] = [1.5e-3, 42.5e6];

/** Coolant and oil each second under a steady fuel flow, kg/s. */
function warmed(settings: On, fuel: number, from: number, ambient: number, seconds: number, step = 0.01) {
  const inputs = { coolant: from, oil: from } as PlantInputs;
  const warmUp = createWarmUp(settings, LITRES, HEATING, ambient, step)!;
  warmUp.rest();
  const seen = [{ coolant: inputs.coolant, oil: inputs.oil }];
  for (let second = 0; second < seconds; second++) {
    for (let k = 0; k < Math.round(1 / step); k++) warmUp.move(fuel, inputs);
    seen.push({ coolant: inputs.coolant, oil: inputs.oil });
  }
  return seen;
}

describe('heat balance', () => {
  test('what the fuel puts in is what the coolant keeps and what is lost, over any run', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 4e-4, noNaN: true }), fc.double({ min: 240, max: 350, noNaN: true }), fc.double({ min: 240, max: 310, noNaN: true }), (fuel, from, ambient) => {
        const s = on();
        const seen = warmed(s, fuel, from, ambient, 300);
        const capacity = s.capacityPerLitre * 1e6 * LITRES;
        let lost = 0;
        for (const { coolant } of seen.slice(0, -1)) {
          const open = Math.min(1, Math.max(0, (coolant - s.thermostat) / s.thermostatSpan));
          lost += (s.losses + open * s.radiator) * (coolant - ambient);
        }
        const put = s.share * fuel * 300 * HEATING;
        expect(Math.abs(capacity * (seen.at(-1)!.coolant - from) + lost - put)).toBeLessThan(1e-6 * (1e5 + put));
      }),
      { numRuns: 50 },
    );
  });

  test('with the thermostat shut and losses straight it is the closed form 1 − exp(−G·t/C), to a thousandth of the rise', () => {
    const s = on({ thermostat: 110 + ZERO_C, losses: 20 });
    const capacity = s.capacityPerLitre * 1e6 * LITRES;
    const heat = s.share * 8e-5 * HEATING;
    const seen = warmed(s, 8e-5, 293.15, 293.15, 600);
    seen.forEach(({ coolant }, t) => {
      const wanted = (heat / 20) * (1 - Math.exp((-20 * t) / capacity));
      expect(Math.abs(coolant - 293.15 - wanted)).toBeLessThan(1e-3 * (heat / 20));
    });
  });

  test('does not go past the thermostat by more than its span, and the oil stays behind the coolant on the way', () => {
    const s = on();
    const seen = warmed(s, 2e-4, 290, 290, 3000);
    for (let t = 1; t < seen.length; t++) {
      expect(seen[t]!.coolant).toBeGreaterThanOrEqual(seen[t - 1]!.coolant - 1e-9);
      expect(seen[t]!.coolant).toBeLessThan(s.thermostat + s.thermostatSpan);
      expect(seen[t]!.oil).toBeLessThanOrEqual(seen[t]!.coolant);
    }
    expect(seen.at(-1)!.coolant).toBeGreaterThan(s.thermostat);
    expect(seen.at(-1)!.oil).toBeCloseTo(seen.at(-1)!.coolant, 1);
  });

  test('no fuel and hotter than the air: it cools, towards the ambient', () => {
    const seen = warmed(on(), 0, 360, 290, 2000);
    for (let t = 1; t < seen.length; t++) expect(seen[t]!.coolant).toBeLessThan(seen[t - 1]!.coolant);
    expect(seen.at(-1)!.coolant).toBeGreaterThan(290);
    expect(coolantRise(on(), 290, 290, 0, 1e4, 1)).toBe(0);
  });

  test('is the same at any integration step that divides a second', () => {
    const [coarse, fine] = [5e-3, 1e-3].map((step) => warmed(on(), 1e-4, 290, 290, 60, step).at(-1)!.coolant);
    expect(coarse! - fine!).toBeCloseTo(0, 9);
  });
});

test('in the plant it is reckoned once a second with the fuel of that second; off, nothing moves', () => {
  const run = (warmUp: object): { coolant: number[]; fuel: number } => {
    const engine = fill(engineTable, { warmUp } as never);
    const plant = createPlant(engine, valveFor(engine));
    Object.assign(plant.inputs, { air: 0.4, spark: 0.25, coolant: 300, oil: 300 });
    plant.reset({ omega: 90, pressure: null, vehicleSpeed: null, engine: 'running' });
    const coolant: number[] = [];
    let fuel = 0;
    for (let k = 0; k < 1000; k++) {
      fuel += plant.observe().fuel * 1e-3;
      plant.advance();
      coolant.push(plant.inputs.coolant);
    }
    return { coolant, fuel };
  };
  const off = run({ is: 'off' });
  expect(off.coolant.every((t) => t === 300)).toBe(true);
  const { coolant, fuel } = run({ is: 'on' });
  expect(coolant.slice(0, 999).every((t) => t === 300)).toBe(true);
  const s = on();
  const wanted = coolantRise(s, 300, 288.15, s.share * fuel * HEATING, s.capacityPerLitre * 1e6 * 1.8e-3, 1);
  expect(coolant[999]! - 300).toBeCloseTo(wanted, 9);
});
