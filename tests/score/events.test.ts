import { describe, expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { METRICS } from '../../src/score/metrics.js';
import { eventMeter, type EventMetrics } from '../../src/score/events.js';
import { scoringTable } from '../../src/score/parameters.js';
import { handTrace, normal, type Hand } from './traces.js';

const scoring = fill(scoringTable);
const measured = (hand: Hand): readonly EventMetrics[] => {
  const trace = handTrace(hand);
  return trace.events.map(eventMeter(trace, scoring));
};
const one = (hand: Hand): EventMetrics => measured({ events: [{}], ...hand })[0] as EventMetrics;
const after = (t: number, atS: number, curve: (s: number) => number): number => (t < atS ? 0 : curve(t - atS));

/** depth·4·(e^{-s} − e^{-2s}) has its peak, `depth`, at s = ln 2. */
const bump = (depth: number) => (s: number) => depth * 4 * (Math.exp(-s) - Math.exp(-2 * s));
/** When that bump has come back to `level`: e^{-s} = (1 − √(1 − level/depth))/2. */
const backAt = (depth: number, level: number): number => -Math.log((1 - Math.sqrt(1 - level / depth)) / 2);
/** Its area from 0 to s: 4(½ − e^{-s} + ½e^{-2s}). */
const area = (depth: number, s: number): number => depth * 4 * (0.5 - Math.exp(-s) + 0.5 * Math.exp(-2 * s));

describe('a load comes on', () => {
  const load = one({ columns: { speedRpm: (t) => 800 - after(t, 2, bump(120)) } });

  test('sag, lowest speed, stall margin, settling and error integral follow from the closed form', () => {
    expect(load.sagRpm).toBeCloseTo(120, 1);
    expect(load.lowestRpm).toBeCloseTo(680, 1);
    expect(load.lowestAtS).toBeCloseTo(2 + Math.LN2, 1);
    expect(load.stallMarginRpm).toBeCloseTo(380, 1);
    expect(load.stallMarginPct).toBeCloseTo((100 * 380) / 800, 1);
    expect(load.settlingTimeS).toBeCloseTo(backAt(120, 25), 3);
    expect(load.iaeRpmS).toBeCloseTo(area(120, 8), 1);
    expect(load.flareRpm).toBe(0);
  });

  test('what does not exist is null with a reason, and what exists has none', () => {
    expect(load.overshootPct).toBeNull();
    expect(load.reasons.overshootPct).toContain('less than the settling band');
    expect(load.huntingRpm).toBeNull();
    for (const name of METRICS) expect(load[name] === null).toBe(load.reasons[name] !== undefined);
    expect(load.fromEngagement).toBeNull();
  });

  test('sag is counted below the lowest of the targets and the speed at the event', () => {
    const low = one({ columns: { speedRpm: (t) => 790 - after(t, 2, bump(120)) } });
    expect(low.sagRpm).toBeCloseTo(120, 1);
    const high = one({ columns: { speedRpm: (t) => 815 - after(t, 2, bump(120)) } });
    expect(high.sagRpm).toBeCloseTo(105, 1);
    const lowered = one({ columns: { targetRpm: (t) => (t < 2 ? 800 : 740), speedRpm: (t) => 800 - after(t, 2, bump(120)) } });
    expect(lowered.sagRpm).toBeCloseTo(60, 1);
  });

  test('a speed at an event between two rows is that of the line between them', () => {
    const event = one({ recordS: 0.1, events: [{ atS: 2.05 }], columns: { speedRpm: (t) => 780 - 100 * (t - 2) } });
    expect(event.sagRpm).toBeCloseTo(775 - (780 - 800), 6);
  });
});

test('a load goes off: the rise is flare, not sag', () => {
  const off = one({ columns: { speedRpm: (t) => 800 + after(t, 2, bump(150)) } });
  expect(off.flareRpm).toBeCloseTo(150, 1);
  expect(off.sagRpm).toBe(0);
  expect(off.settlingTimeS).toBeCloseTo(backAt(150, 25), 3);
});

describe('a target step', () => {
  const respond = (from: number, to: number): Hand => ({
    columns: {
      targetRpm: (t) => (t < 2 ? from : to),
      speedRpm: (t) => from + (to - from) * after(t, 2, (s) => 1 - Math.exp(-s) * (Math.cos(2 * s) + 0.5 * Math.sin(2 * s))),
    },
  });
  // ζ = 1/√5: overshoot e^(−π/2).
  test.each([[800, 1000], [1000, 800], [0, 200], [200, 0]])('from %d to %d rpm overshoots by e^(−π/2)', (from, to) => {
    const step = one(respond(from, to));
    expect(step.overshootPct).toBeCloseTo(100 * Math.exp(-Math.PI / 2), 3);
  });

  test('to a target of 0 leaves the margin in % without meaning, and the rest as it is', () => {
    const step = one(respond(200, 0));
    expect(step.stallMarginPct).toBeNull();
    expect(step.reasons.stallMarginPct).toBe('the target is 0');
    const fast = one({ columns: { targetRpm: () => 0, speedRpm: () => 400 } });
    expect(fast.stallMarginRpm).toBe(100);
    expect(fast.stallMarginPct).toBeNull();
    expect(fast.reasons.stallMarginPct).toBe('the target is 0');
  });

  test('that reaches the controller a few rows late is a step all the same', () => {
    const late = one({ columns: { targetRpm: (t) => (t < 2.05 ? 800 : 900) } });
    expect(late.overshootPct).toBe(0);
  });
});

describe('a blip', () => {
  // Foot on from 2 to 2.5 s, up to 3000 rpm; back with a time constant of 0.5 s to a dip of 60 rpm, then a rebound.
  const fall = (s: number): number => 2200 * Math.exp(-s / 0.5);
  const rebound = (s: number): number => -60 * Math.exp(-((s - 3) ** 2)) + 40 * Math.exp(-((s - 5) ** 2));
  const speedRpm = (t: number): number => 800 + (t < 2 ? 0 : t < 2.5 ? 4400 * (t - 2) : fall(t - 2.5) + rebound(t - 2.5));
  const blip = one({ lengthS: 15, columns: { speedRpm, throttlePct: (t) => (t >= 2 && t < 2.5 ? 20 : 0) } });

  test('has no flare on the way up or down, only the rebound', () => {
    expect(Math.abs((blip.flareRpm as number) - 39.1)).toBeLessThan(0.1); // 40, less what is left of the dip 2 s earlier
  });
  test('sags by the dip below target', () => {
    expect(Math.abs((blip.sagRpm as number) - 54.7)).toBeLessThan(1); // the tail of the fall still carries some 5 rpm at the dip
  });
  test('settles from when the foot is off, and its error integral leaves the driver out', () => {
    const settled = 5 + Math.sqrt(Math.log(40 / 25));
    expect(blip.settlingTimeS).toBeCloseTo(settled, 1);
    expect(blip.iaeRpmS).toBeLessThan(250);
  });
  test('that turns before it reaches the target flares from there', () => {
    const turns = (s: number): number => 500 * Math.exp(-4 * s) + 10 + 40 * Math.exp(-((s - 4) ** 2));
    const early = one({ columns: { speedRpm: (t) => 800 + after(t, 2, turns), throttlePct: (t) => (t >= 2 && t < 2.1 ? 20 : 0) } });
    expect(early.flareRpm).toBeCloseTo(50, 2);
  });
  test('that is still on its way down when the window ends has no flare of its own, and is not settled', () => {
    const slow = one({ columns: { speedRpm: (t) => (t < 2 ? 800 : 3000 - 200 * (t - 2)), throttlePct: (t) => (t >= 2 && t < 2.5 ? 20 : 0) } });
    expect(slow.flareRpm).toBeNull();
    expect(slow.reasons.flareRpm).toContain('never came back');
    expect(slow.settlingTimeS).toBeNull();
    expect(slow.hangs).toBeNull();
  });
  describe('whose speed hangs above the idle', () => {
    const speedRpm = (t: number): number => (t < 2 ? 800 : 1383 + 2000 * Math.exp(-2 * Math.max(0, t - 2.5)));
    const throttlePct = (t: number): number => (t >= 2 && t < 2.5 ? 20 : 0);
    const open = [{ fromS: 2, toS: 10, because: 'the speed is above the entry window' }];
    test('flares from when it no longer falls, is not settled, and says where it hangs and why', () => {
      const hung = one({ columns: { speedRpm, throttlePct }, open });
      // less than 50 rpm in 1 s: 2000·e^(−2s)(e² − 1) = 50
      const from = -Math.log(50 / (2000 * (Math.exp(2) - 1))) / 2;
      expect(Math.abs((hung.flareRpm as number) - (583 + 2000 * Math.exp(-2 * from)))).toBeLessThan(0.5);
      expect(hung.settlingTimeS).toBeNull();
      expect(hung.iaeRpmS).toBeGreaterThan(583 * 4);
      expect(hung.hangs).toBe('hangs at 1383 rpm: the loop stays open (the speed is above the entry window)');
    });
    test('flares above its target though it hung as high before the driver acted', () => {
      const again = one({ columns: { speedRpm: (t) => (t < 2 ? 1383 : speedRpm(t)), throttlePct }, open });
      expect(again.flareRpm).toBeGreaterThan(583);
    });
    test('with the loop closed says whether there is less air to be had', () => {
      const shut = one({ columns: { speedRpm, throttlePct, air: () => 0 } });
      expect(shut.hangs).toBe('hangs at 1383 rpm: the air command is at its lower limit');
      expect(one({ columns: { speedRpm, throttlePct, air: () => 20 } }).hangs).toContain('the loop is closed');
    });
    test('though nobody touched it, with the loop open, says so too; with the loop closed it may be a slow swing', () => {
      const rises = { speedRpm: (t: number) => 800 + after(t, 2, (s) => 600 * (1 - Math.exp(-s))) };
      expect(one({ columns: { ...rises, closed: () => 0 }, open }).hangs).toBe('hangs at 1400 rpm: the loop stays open (the speed is above the entry window)');
      expect(one({ columns: rises }).hangs).toBeNull();
      expect(one({ lengthS: 3.5, columns: { ...rises, closed: () => 0 }, open }).hangs).toBeNull();
    });
    test('for a while, and comes back, hangs no more', () => {
      const late = one({ lengthS: 15, columns: { speedRpm: (t) => (t < 8 ? speedRpm(t) : 800 + 583 * Math.exp(-3 * (t - 8))), throttlePct } });
      expect(late.flareRpm).toBeGreaterThan(583);
      expect(late.hangs).toBeNull();
    });
  });
  test('whose pedal is never let go says so, with the speed that it waits for', () => {
    const what = 'blip: throttle 20 % until 6000 rpm';
    const columns = { speedRpm: (t: number) => (t < 2 ? 800 : 3000), throttlePct: (t: number) => (t >= 2 ? 20 : 0) };
    expect(one({ events: [{ what }], columns }).pedal).toBe('the pedal was never let go: 6000 rpm not reached');
    expect(one({ events: [{ what: 'throttle to 20 %' }], columns }).pedal).toBeNull();
    expect(one({ events: [{ what }], columns: { ...columns, throttlePct: (t) => (t >= 2 && t < 5 ? 20 : 0) } }).pedal).toBeNull();
  });
  test('held to the end has nothing to settle', () => {
    const held = one({ columns: { speedRpm: (t) => (t < 2 ? 800 : 3000), throttlePct: (t) => (t >= 2 ? 20 : 0) } });
    expect(held.reasons.settlingTimeS).toContain('driver acts');
    expect(held.settlesFromS).toBe(held.window.endS);
    expect(held.reasons.iaeRpmS).toBeDefined();
  });
});

test('a clutch opened after coasting: the speed it comes down from is the car’s, the dip below target the idle’s', () => {
  const coast = one({
    columns: {
      speedRpm: (t) => (t < 2 ? 2000 : 800 + 1200 * Math.exp(-3 * (t - 2)) - after(t, 3, bump(150)) + after(t, 6, bump(50))),
      clutchNm: (t) => (t < 2.1 ? -20 : 0),
    },
  });
  expect(coast.sagRpm).toBeGreaterThan(100);
  expect(coast.flareRpm).toBeGreaterThan(20);
  expect(coast.flareRpm).toBeLessThan(50);
});

test('a car that pushes its engine above target makes no flare, and settling counts from when it lets go', () => {
  const pushed = one({
    columns: {
      speedRpm: (t) => 800 + (t < 2 ? 0 : t < 4 ? 100 * (t - 2) : 200 * Math.exp(-2 * (t - 4))),
      clutchNm: (t) => (t >= 2 && t < 4 ? -15 : 0),
    },
  });
  expect(pushed.flareRpm).toBe(0);
  expect(pushed.settlingTimeS).toBeCloseTo(Math.log(200 / 25) / 2, 3);
});

describe('an unsettled window', () => {
  test('too short for three periods hunts all the same when it swings beyond the band, to and fro and back', () => {
    const slow = one({ columns: { speedRpm: (t) => 800 - after(t, 2, (s) => 60 * Math.sin(2 * Math.PI * 0.18 * s)), openingPct: (t) => 30 + t } });
    expect(slow.settlingTimeS).toBeNull();
    expect(slow.huntingRpm).toBeCloseTo(120, 0);
    expect(slow.huntingHz).toBeCloseTo(0.18, 2);
  });

  test('has the valve travel and spark activity of its second half', () => {
    const off = one({
      columns: {
        speedRpm: (t) => (t < 2 ? 800 : 700),
        openingPct: (t) => 30 + (t < 6 ? 9 : 2) * t,
        sparkDeg: (t) => 10 + (t < 6 ? 9 : 3) * Math.sin(2 * Math.PI * t),
      },
    });
    expect(off.settlingTimeS).toBeNull();
    expect(off.huntingRpm).toBeNull();
    expect(off.valveTravelPctPerS).toBeCloseTo(2, 6);
    expect(off.sparkActivityDeg).toBeCloseTo(3 / Math.SQRT2, 2);
  });

  test('with the foot down to its end has neither, and says so', () => {
    const held = one({ columns: { speedRpm: (t) => (t < 2 ? 800 : 3000), throttlePct: (t) => (t >= 2 ? 20 : 0) } });
    expect(held.valveTravelPctPerS).toBeNull();
    expect(held.reasons.sparkActivityDeg).toContain('driver acts');
  });
});

test('a start from rest has no sag before it has run up, but a flare', () => {
  const start = one({
    events: [{ atS: 0, name: 'start' }],
    columns: { speedRpm: (t) => (t < 1 ? 200 : 800 * (1 - Math.exp(-4 * (t - 1))) + after(t, 1, bump(300))) },
  });
  expect(start.sagRpm).toBeLessThan(26);
  expect(start.lowestRpm).toBeGreaterThan(770);
  expect(start.flareRpm).toBeGreaterThan(200);
  const never = one({ events: [{ atS: 0 }], columns: { speedRpm: () => 200 } });
  expect(never.sagRpm).toBeNull();
  expect(never.reasons.stallMarginRpm).toContain('not run up');
});

test('a stall: the lowest speed is the stall speed at the most, the margin not above zero, settling null', () => {
  const stall = one({ stallS: 3, columns: { speedRpm: (t) => (t < 2 ? 800 : 800 - 499.9 * (t - 2)) } });
  expect(stall.lowestRpm).toBe(300);
  expect(stall.lowestAtS).toBe(3);
  expect(stall.stallMarginRpm).toBe(0);
  expect(stall.sagRpm).toBeCloseTo(500, 9);
  expect(stall.settlingTimeS).toBeNull();
  expect(stall.reasons.settlingTimeS).toBe('the engine stalls');
  expect(stall.window.stalled).toBe(true);
});

test('a saturated run: the whole window counts as time at the stop, and a constant error never settles', () => {
  const stuck = one({ columns: { speedRpm: () => 700, atStop: () => 1 } });
  expect(stuck.saturatedS).toBeCloseTo(8, 9);
  expect(stuck.settlingTimeS).toBeNull();
  expect(stuck.reasons.settlingTimeS).toContain('still outside');
  expect(stuck.iaeRpmS).toBeCloseTo(800, 6);
  expect(stuck.sagRpm).toBe(0); // it was there before the event
  expect(stuck.valveTravelPctPerS).toBe(0);
});

test('hunting outside the band is found though the speed never settles, with the work of valve and spark', () => {
  const hunts = one({
    lengthS: 14,
    columns: {
      speedRpm: (t) => 800 - after(t, 2, (s) => 40 * Math.sin(2 * Math.PI * 0.6 * s)),
      openingPct: (t) => 30 + 2 * Math.sin(2 * Math.PI * 0.6 * t),
      sparkDeg: (t) => 10 + 3 * Math.sin(2 * Math.PI * 0.6 * t),
    },
  });
  expect(hunts.huntingRpm).toBeCloseTo(80, 0);
  expect(hunts.huntingHz).toBeCloseTo(0.6, 3);
  expect(hunts.settlingTimeS).toBeNull();
  expect(Math.abs((hunts.valveTravelPctPerS as number) - 4 * 2 * 0.6)).toBeLessThan(0.1);
  expect(Math.abs((hunts.sparkActivityDeg as number) - 3 / Math.SQRT2)).toBeLessThan(0.05);
});

test('roughness is neither hunting nor a reason not to settle', () => {
  const noise = normal(3);
  const rough = one({ columns: { speedRpm: (t) => 800 - after(t, 2, bump(120)) + 4 * noise() } });
  expect(rough.huntingRpm).toBeNull();
  expect(Math.abs((rough.settlingTimeS as number) - backAt(120, 25))).toBeLessThan(0.5);
  expect(Math.abs((rough.sagRpm as number) - 120)).toBeLessThan(20);
});

test('settling is judged on the mean over a cycle: scatter about the edge of the band does not put it off', () => {
  // 15 rpm below target to the end, with a scatter from row to row that takes the speed beyond 25 rpm many times
  const noise = normal(5);
  const scatter = one({ columns: { speedRpm: (t) => 785 - after(t, 2, bump(120)) + 7 * noise() } });
  expect(scatter.settlingTimeS).not.toBeNull();
  expect(scatter.settlingTimeS).toBeLessThan(backAt(120, 10) + 0.5);
  // two revolutions at 800 rpm last 0.15 s: an outlier of 100 rpm in one row of 15 moves the mean by 7
  const outlier = one({ columns: { speedRpm: (t) => 800 - after(t, 2, bump(120)) + (Math.abs(t - 9.5) < 0.004 ? 100 : 0) } });
  expect(outlier.settlingTimeS).toBeCloseTo(backAt(120, 25), 3);
});

describe('windows', () => {
  const dips = (t: number): number => 800 - after(t, 2, bump(60)) - after(t, 8, bump(150));

  test('end at the next event', () => {
    const [first, second] = measured({ lengthS: 16, events: [{ atS: 2 }, { atS: 8 }], columns: { speedRpm: dips } }) as [EventMetrics, EventMetrics];
    expect(first.sagRpm).toBeCloseTo(60, 1);
    expect(second.sagRpm).toBeGreaterThan(148);
    expect(first.window.endS).toBe(8);
  });

  test('are shared by two events at the same time', () => {
    const [first, second] = measured({ events: [{ atS: 2, name: 'a' }, { atS: 2, name: 'b' }], columns: { speedRpm: dips } }) as [EventMetrics, EventMetrics];
    expect({ ...first, name: '' }).toEqual({ ...second, name: '' });
    expect(first.sagRpm).not.toBeNull();
  });

  test('of an event at the last row, or after the end, hold nothing', () => {
    for (const atS of [10, 11]) {
      const last = one({ events: [{ atS }] });
      for (const name of METRICS) {
        expect(last[name]).toBeNull();
        expect(last.reasons[name]).toContain('before anything could be seen');
      }
    }
  });

  test('start at the request, and once more at the engagement where that is later', () => {
    const led = one({ events: [{ atS: 2, engagedS: 3 }], columns: { speedRpm: (t) => 800 + after(t, 2, bump(60)) - after(t, 3, bump(150)) } });
    expect(led.flareRpm).toBeCloseTo(60, 1);
    expect(led.fromEngagement?.flareRpm).toBeLessThan(1);
    expect(led.fromEngagement?.settlingTimeS).toBeCloseTo((led.settlingTimeS as number) - 1, 9);
    const cut = measured({ events: [{ atS: 2, engagedS: 3 }, { atS: 2.5 }] })[0] as EventMetrics;
    expect(cut.sagRpm).toBe(0);
    expect(cut.fromEngagement?.sagRpm).toBeNull();
  });

  test('too short to hold the band give no settling time', () => {
    const short = measured({ events: [{ atS: 2 }, { atS: 2.5 }] })[0] as EventMetrics;
    expect(short.settlingTimeS).toBeNull();
    expect(short.reasons.settlingTimeS).toContain('held for 1 s');
  });
});
