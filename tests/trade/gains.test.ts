/** Gains of the air loop. Facts of the trade: common practice, no source. */
import { describe, expect, test } from 'vitest';
import { between, highest, lastOf, lowest, run, shipped, suite } from './shipped.js';

/** A small load that stays: enough to set it off, too little to stall it. */
const NUDGE = { 'drill.events.0.torque': 1, 'drill.events.1.at': 29 };
/** An integral gain just past what each engine bears, in its valve's unit. */
const TOO_MUCH = [
  ['three.yaml', 0.1],
  ['solenoid.yaml', 0.11],
  ['stepper.yaml', 0.15],
  ['six.yaml', 0.1],
  ['eight.yaml', 0.1],
] as const;
const LONG = ['run.duration=30 s'];

describe('hunting (common practice, no source)', () => {
  test.each(TOO_MUCH)('%s: too much integral hunts, slowly; the shipped gains do not', async (file, ki) => {
    const scenario = await shipped(file, LONG);
    const asItIs = run(scenario, NUDGE).scored.events[0]!;
    expect(asItIs.huntingRpm).toBeNull();
    expect(asItIs.settlingTimeS).toBeLessThan(3);
    const hunting = run(scenario, { ...NUDGE, 'controller.pid.ki': ki }).scored.events[0]!;
    expect(hunting.huntingRpm).toBeGreaterThan(20);
    // an integrator behind a manifold, a cycle of delay and a crank: a couple of seconds a swing
    expect(hunting.huntingHz).toBeGreaterThan(0.25);
    expect(hunting.huntingHz).toBeLessThan(0.8);
  });

  test.each(TOO_MUCH)('%s: too much spark rate hunts faster than too much integral, several times', async (file, ki) => {
    const scenario = await shipped(file, [...LONG, 'controller.spark.authority=18 deg']);
    const air = run(scenario, { ...NUDGE, 'controller.pid.ki': ki }).scored.events[0]!;
    const spark = run(scenario, { ...NUDGE, 'controller.spark.rate': 3 }).scored.events[0]!;
    expect(spark.huntingRpm).toBeGreaterThan(5);
    expect(spark.huntingHz! / air.huntingHz!).toBeGreaterThan(4);
    // four dead times a swing, the dead time some two firing intervals and half a tick
    const { engine, controller } = scenario;
    const intervalS = 120 / controller.targetRpm.y.at(-1)! / (engine as { readonly cylinders: number }).cylinders;
    expect(spark.huntingHz! * 4 * (2 * intervalS + controller.periodS / 2)).toBeGreaterThan(0.8);
    expect(spark.huntingHz! * 4 * (2 * intervalS + controller.periodS / 2)).toBeLessThan(1.2);
  });

  test('an integral on whole steps limit-cycles without a dead band, and comes to rest with one', async () => {
    const scenario = await shipped('stepper.yaml', ['run.duration=60 s']);
    const nudge = { 'drill.events.0.torque': 2, 'drill.events.1.at': 59.9 };
    const moves = (deadBandRpm: number) => {
      const { trace, scored } = run(scenario, { ...nudge, 'controller.pid.deadBand': deadBandRpm });
      const opening = between(trace, 'openingPct', 30, 59);
      return { count: opening.slice(1).filter((at, k) => at !== opening[k]).length, event: scored.events[0]! };
    };
    const without = moves(0);
    expect(without.count).toBeGreaterThan(5);
    expect(without.event.huntingRpm).toBeGreaterThan(2);
    // one step of 200 up and down, no more: a limit cycle, not an instability
    expect(without.event.huntingRpm).toBeLessThan(30);
    const within = moves(15);
    expect(within.count).toBe(0);
    expect(within.event.huntingRpm).toBeNull();
  });
});

describe('an integral at a stop (common practice, no source)', () => {
  const saturated = async (antiWindup: string) => {
    // 26 % of air is not enough for the load: the command sits at the clamp for as long as the load is on
    const scenario = await shipped('solenoid.yaml', [`controller.pid.antiWindup=${antiWindup}`, 'controller.clamp.highest=26 %', 'run.duration=30 s']);
    const [on, off] = run(scenario, { 'drill.events.1.at': 16 }).scored.events;
    expect(on!.saturatedS).toBeGreaterThan(10);
    return off!;
  };

  test('winds up without protection, and overshoots further and longer when the load goes', async () => {
    const none = await saturated('none');
    for (const protection of ['conditional', 'conditional-ahead', 'back-calculation']) {
      const kept = await saturated(protection);
      expect(none.flareRpm! - kept.flareRpm!).toBeGreaterThan(30);
      expect(none.saturatedS).toBeGreaterThan(kept.saturatedS! + 3);
      expect(none.settlingTimeS! / kept.settlingTimeS!).toBeGreaterThan(3);
    }
  });
});

describe('a stepper on integral alone beside a solenoid on all three terms (common practice, no source)', () => {
  test('it sags deeper and settles later under the same load, and stalls in none of the drills', async () => {
    const steppers = await suite('studies/stepper-integral.yaml');
    const solenoids = await suite('studies/solenoid-pid.yaml');
    expect(steppers.map(({ drill, engine }) => [drill, engine])).toEqual(solenoids.map(({ drill, engine }) => [drill, engine]));
    for (const [i, stepper] of steppers.entries()) {
      const slow = run(stepper).scored;
      const quick = run(solenoids[i]!).scored;
      expect([slow.stalled, quick.stalled]).toEqual([false, false]);
      for (const [k, event] of slow.events.entries()) {
        expect(event.lowestRpm).toBeLessThan(quick.events[k]!.lowestRpm! - 15);
        expect(event.settlingTimeS).toBeGreaterThan(quick.events[k]!.settlingTimeS! + 0.3);
      }
    }
  });
});

describe('a held command (common practice, no source)', () => {
  test.each([
    ['solenoid.yaml', 30],
    ['stepper.yaml', 40],
  ])('%s: holds the valve still, whatever the speed does, and the loop stays open', async (file, hold) => {
    const scenario = await shipped(file, [`controller.hold=${hold}`]);
    const { trace } = run(scenario);
    const everything = (name: 'air' | 'openingPct') => trace.columns[name].subarray(0, trace.rows);
    expect([lowest(everything('air')), highest(everything('air'))]).toEqual([hold, hold]);
    expect(lowest(everything('openingPct'))).toBe(highest(everything('openingPct')));
    expect(trace.open).toEqual([{ fromS: 0, toS: 15, because: 'the command is held' }]);
    const speed = trace.columns.speedRpm.subarray(0, trace.rows);
    expect(highest(speed) - lowest(speed)).toBeGreaterThan(50);
  });
});

describe('the air that an idle wants (common practice, no source)', () => {
  const ENGINES = ['three.yaml', 'solenoid.yaml', 'stepper.yaml', 'six.yaml', 'eight.yaml'];
  const steady = async (file: string, set: string) => {
    const scenario = await shipped(file, set === '' ? [] : [set]);
    const { trace } = run({ ...scenario, drill: { ...scenario.drill, events: [] } });
    const { deadBandRpm } = scenario.controller.pid;
    expect(Math.abs(lastOf(trace, 'speedRpm') - lastOf(trace, 'targetRpm'))).toBeLessThanOrEqual(Math.max(1, deadBandRpm));
    return { air: lastOf(trace, 'airGs'), opening: lastOf(trace, 'openingPct') };
  };

  test.each(ENGINES)('%s: cold oil takes more of it', async (file) => {
    const warm = await steady(file, '');
    const cool = await steady(file, 'drill.start.oil=20 degC');
    const cold = await steady(file, 'drill.start.oil=-10 degC');
    expect(cool.air / warm.air).toBeGreaterThan(1.1);
    expect(cold.air / cool.air).toBeGreaterThan(1.1);
    expect(cold.opening).toBeGreaterThan(cool.opening);
    expect(cool.opening).toBeGreaterThan(warm.opening);
  });

  test.each(ENGINES)('%s: thin air takes a larger opening for less air', async (file) => {
    const low = await steady(file, '');
    const high = await steady(file, 'engine.ambient.altitude=2000 m');
    expect(high.opening).toBeGreaterThan(low.opening + 1);
    // the pumping loss is smaller against a thinner exhaust, so a little less air does
    expect(high.air / low.air).toBeGreaterThan(0.8);
    expect(high.air / low.air).toBeLessThan(1);
  });
});
