/** The fit of an engine, on logs of engines that are known; the table of many seeds is tests/identify/fit-trials.ts. */
import { beforeAll, describe, expect, it } from 'vitest';
import { fitEngine, fittedFrom, knobsOf, UnusableLog, usable } from '../../src/identify/fit/index.js';
import { turned } from '../../src/identify/fit/knobs.js';
import { createPredictor } from '../../src/identify/fit/predict.js';
import { csvOf, driven, logOf, planned, planUntil, recordingOf } from './fit-logs.js';
import { idle, read, table } from './logs.js';
import { trial } from './fit-trial.js';

describe('a log of a known engine, fitted from 40 % off', () => {
  it.each([[1, 0], [3, 5]])('finds inertia, plenum, friction, valve, spark slope and loads within 5 %: seed %i, roughness %i %', async (seed, roughness) => {
    const { fit, outcomes } = await trial(seed, roughness);
    const of = (key: string) => outcomes.find((o) => o.key === key)!;
    for (const key of ['engine.inertia', 'engine.manifold.volume', 'engine.friction.fmep', 'valve.size.flow', 'engine.torque.sparkLoss', 'load:compressor']) {
      expect(of(key).excited, key).toBe(true);
      expect(Math.abs(of(key).error), key).toBeLessThan(0.05);
    }
    // weights made from the measured slope put it 3 % high under roughness, outside its interval, in every trial
    expect(Math.abs(of('engine.inertia').error)).toBeLessThan(0.02);
    expect(of('engine.inertia').covered).toBe(true);
    // a linear valve that is never shut: leak and dead end make up for each other, and the fit says so
    expect(of('engine.throttle.leak.flow').verdict).toBe('prior');
    expect(fit.told.find((t) => t.key === 'engine.throttle.leak.flow')!.goesWith.map((g) => g.key)).toContain('valve.opening');
    expect(of('engine.oil.exponent').verdict).toBe('held');
    expect(fit.heldOut!.eventsRpm).toBeLessThan(30);
  }, 120_000);
});

describe('what drives a model along a log', () => {
  it('is the plant itself: its own free run comes back within what a row knows of the moment of a command', async () => {
    const scenario = await planned([], planUntil(20));
    const trace = driven(scenario, 4);
    const log = await logOf(csvOf(trace, { seed: 4, noiseRpm: 0, hz: 100 }, 'speedRpm'));
    const { base } = recordingOf(log, scenario);
    // each tick's command in a row of its own, the grid as fine as the ticks
    const fine = usable(log, { engine: base.engine, valve: { unit: '%', full: 100 }, spark: 0.24, periodS: 0.02 });
    const stretch = fine.stretches[0]!;
    const [speed, pressure] = [new Float64Array(stretch.rows), new Float64Array(stretch.rows)];
    const loads = base.loads.map((load) => ({ ...load, torque: load.name === 'fan' ? 4 : 8 }));
    createPredictor({ ...base, loads }, fine.periodS, 1).run(stretch, { lag: 0, delay: 0, late: 0.01, speedGain: 0, pressureGain: 0 }, speed, pressure);
    const errors = Array.from(speed, (v, k) => Math.abs(v - stretch.speed[k]!) * (30 / Math.PI));
    const rms = Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length);
    expect(rms).toBeLessThan(5);
  });

  it('with a gain of 1 it starts each row from what was measured', async () => {
    const scenario = await planned([], planUntil(16));
    const log = await logOf(csvOf(driven(scenario, 4), { seed: 4 }));
    const { base, recording } = recordingOf(log, scenario);
    const wrong = turned(base, knobsOf(base), [0.4]);
    const stretch = recording.stretches[0]!;
    const error = (speedGain: number): number => {
      const [speed, pressure] = [new Float64Array(stretch.rows), new Float64Array(stretch.rows)];
      createPredictor({ ...wrong, engine: { ...wrong.engine, friction: { ...wrong.engine.friction, fmep: 0.9e5 } as typeof wrong.engine.friction } }, recording.periodS, 0).run(stretch, { lag: 0.5, delay: 0, late: 0, speedGain, pressureGain: 0 }, speed, pressure);
      return Math.sqrt(speed.reduce((sum, v, k) => sum + (v - stretch.speed[k]!) ** 2, 0) / stretch.rows);
    };
    expect(error(1)).toBeLessThan(0.2 * error(0));
  });
});

describe('a log that cannot be fitted is refused with why', () => {
  let given: Awaited<ReturnType<typeof options>>;
  const options = async () => {
    const scenario = await planned();
    return { engine: fittedFrom(scenario, []).engine, valve: { unit: '%' as const, full: 100 }, spark: 0.2 };
  };
  beforeAll(async () => {
    given = await options();
  });
  const log = (row: (k: number) => readonly (string | number)[], header = 'Time [s],Engine speed [rpm],MAP [kPa]', rows = 400) => read(table(header, rows, row), ['speed=#2 [rpm]']);
  const at = (k: number): string => (k / 20).toFixed(2);

  it.each([
    ['a diesel-like one', (k: number) => [at(k), idle(k / 20).rpm, (98 + 0.3 * Math.sin(k)).toFixed(1)], /nothing throttles this engine/],
    ['one without an idle', (k: number) => [at(k), 3000 + Math.round(400 * Math.sin(k / 9)), 40 + (k % 5)], /no idle is in it/],
    ['one that only cranks', (k: number) => [at(k), 200 + (k % 7), 60 + (k % 5)], /the engine does not run/],
    ['one whose speed never moves', (k: number) => [at(k), 800, 33 + (k % 3)], /the speed never moves/],
  ])('%s', async (_, row, said) => {
    const made = await log(row);
    expect(() => usable(made, { ...given, periodS: 0.05 })).toThrow(UnusableLog);
    expect(() => usable(made, { ...given, periodS: 0.05 })).toThrow(said);
  });

  it('one with neither valve command nor manifold pressure', async () => {
    const made = await log((k) => [at(k), idle(k / 20).rpm], 'Time [s],Engine speed [rpm]');
    expect(() => usable(made, given)).toThrow(/neither the command to the air valve nor the manifold pressure/);
  });

  it('one whose valve is another', async () => {
    const made = await log((k) => [at(k), idle(k / 20).rpm, 120 + (k % 4)], 'Time [s],Engine speed [rpm],Idle valve [steps]');
    expect(() => usable(made, given)).toThrow(/air is in steps, and the valve takes %/);
  });
});

describe('what is left out', () => {
  it('is what moves without a pressed clutch, and the start', async () => {
    const scenario = await planned();
    const { engine } = fittedFrom(scenario, []);
    const csv = table('Time [s],Engine speed [rpm],MAP [kPa],Vehicle speed [km/h]', 1200, (k) => {
      const t = k / 20;
      return [t.toFixed(2), t < 2 ? 200 : idle(t).rpm, idle(t).kpa.toFixed(1), t > 30 && t < 40 ? 12 : 0];
    });
    const recording = usable(await read(csv), { engine, valve: { unit: '%', full: 100 }, spark: 0.2 });
    expect(recording.left.some(({ because }) => because.includes('the car moves'))).toBe(true);
    expect(recording.left.some(({ because }) => because.includes('after a start'))).toBe(true);
    expect(recording.stretches.map(({ startS }) => Math.round(startS))).toEqual([6, 40]);
  });

  it('without the valve command the measured pressure drives the model, and valve and plenum are held', async () => {
    const scenario = await planned([], planUntil(40));
    const csv = csvOf(driven(scenario, 2), { seed: 2 }).replace('Idle valve [%]', 'unused');
    const { base, recording } = recordingOf(await logOf(csv), scenario);
    const fit = fitEngine(recording, base, { method: 'one step', heldOut: 0 });
    const verdict = (key: string): string => fit.told.find((t) => t.key === key)!.verdict;
    expect(verdict('valve.size.flow')).toBe('held');
    expect(verdict('engine.manifold.volume')).toBe('held');
    expect(Math.abs(fit.told.find((t) => t.key === 'engine.inertia')!.value / 0.15 - 1)).toBeLessThan(0.1);
    expect(fit.heldOut).toBeNull();
  }, 60_000);
});
