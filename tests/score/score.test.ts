import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { limitsTable, METRICS, scoreSuite, scoreTrace, scoringTable, type Limits, type Scoring } from '../../src/score/index.js';
import { handTrace, normal, type Hand } from './traces.js';

const scored = (hand: Hand, limits: Partial<Limits> = {}, scoring: Scoring = fill(scoringTable)) => scoreTrace(handTrace(hand), fill(limitsTable, limits), scoring);
const dip = (depth: number, atS = 2) => (t: number) => (t < atS ? 0 : depth * 4 * (Math.exp(atS - t) - Math.exp(2 * (atS - t))));
const load = (depth: number): Hand => ({ columns: { speedRpm: (t) => 800 - dip(depth)(t) }, events: [{}] });
const stall = (stallS: number): Hand => ({ stallS, events: [{}], columns: { speedRpm: (t) => (t < 2 ? 800 : 800 - (500 * (t - 2)) / (stallS - 2)) } });

test('the documented scales, weights, band and penalties are the real ones', () => {
  const scoring = fill(scoringTable);
  expect(scoring.scales).toEqual({ sagRpm: 80, flareRpm: 120, settlingTimeS: 3, iaeRpmS: 100, huntingRpm: 25, sparkActivityDeg: 3, valveTravelPctPerS: 1 });
  expect(Object.keys(scoring.weights)).toEqual(Object.keys(scoring.scales));
  expect(new Set(Object.values(scoring.weights))).toEqual(new Set([1]));
  expect(scoring).toMatchObject({ settlingBandRpm: 25, settlingHoldS: 1, limitBroken: 10, stall: 100 });
  for (const [name, value] of Object.entries(fill(limitsTable))) {
    expect(value).toBeNull();
    expect(METRICS).toContain(name);
  }
});

test('a steady run costs nothing and is judged whole', () => {
  const got = scored({});
  expect(got.score).toBe(0);
  expect(got.events).toEqual([]);
  expect(got.metrics.sagRpm).toBe(0);
  expect(got.verdict).toBe('Holds: no sag, back within 25 rpm in 0.0 s; no hunting');
});

test('an event costs the root mean square of its seven terms over their scales', () => {
  const got = scored(load(120));
  const event = got.events[0]!;
  const terms = [event.sagRpm! / 80, event.flareRpm! / 120, event.settlingTimeS! / 3, event.iaeRpmS! / 100, 0, event.sparkActivityDeg! / 3, event.valveTravelPctPerS! / 1];
  expect(got.score).toBeCloseTo(Math.sqrt(terms.reduce((sum, x) => sum + x * x, 0) / 7), 12);
  expect(event.sagRpm! / 80).toBeCloseTo(1.5, 2);
  expect(got.verdict).toMatch(/^Holds: deepest sag 120 rpm at 2\.0 s \(load on\), back within 25 rpm in 2\.\d s; no hunting seen$/);
});

test('a drill costs its worst event, a suite the mean of its drills', () => {
  const both = scored({
    lengthS: 20,
    events: [{ atS: 2, name: 'small' }, { atS: 10, name: 'large' }],
    columns: { speedRpm: (t) => 800 - dip(40, 2)(t) - dip(160, 10)(t) },
  });
  const large = scored({ lengthS: 20, events: [{ atS: 10, name: 'large' }], columns: { speedRpm: (t) => 800 - dip(40, 2)(t) - dip(160, 10)(t) } });
  expect(both.score).toBe(large.score);
  expect(both.metrics.sagRpm).toBe(both.events[1]!.sagRpm);
  expect(both.verdict).toContain('at 10.0 s (large)');
  expect(scoreSuite([1, 2, 6])).toBe(3);
  expect(() => scoreSuite([])).toThrow('at least one drill');
});

test('weights count, and a weight of zero leaves a term out', () => {
  const only = fill(scoringTable, { weights: { flareRpm: 0, settlingTimeS: 0, iaeRpmS: 0, huntingRpm: 0, sparkActivityDeg: 0, valveTravelPctPerS: 0 } });
  const got = scored(load(120), {}, only);
  expect(got.score).toBeCloseTo(got.events[0]!.sagRpm! / 80, 12);
});

describe('limits', () => {
  test('each broken one adds ten and is told with what it allowed', () => {
    const free = scored(load(120));
    const got = scored(load(120), { sagRpm: 100, settlingTimeS: 2, stallMarginRpm: 400, flareRpm: 10 });
    expect(got.score).toBeCloseTo(free.score + 30, 12);
    expect(got.missed.map((m) => m.limit)).toEqual(['sagRpm', 'settlingTimeS', 'stallMarginRpm']);
    expect(got.missed[0]).toEqual({ limit: 'sagRpm', value: got.events[0]!.sagRpm, allowed: 100, atS: 2, event: 'load on' });
    expect(got.verdict).toMatch(/^Misses 3 limits: sag 120 rpm at 2\.0 s \(load on\), allowed up to 100; .*allowed no less than 400$/);
  });

  test('one that is just kept is not broken', () => {
    const sag = scored(load(120)).events[0]!.sagRpm!;
    expect(scored(load(120), { sagRpm: sag }).missed).toEqual([]);
    expect(scored(load(120), { sagRpm: sag - 0.001 }).missed).toHaveLength(1);
    expect(scored(load(120), { sagRpm: sag - 0.001 }).verdict).toMatch(/sag (\d+\.\d+) rpm .* up to (?!\1)/);
  });

  test('a limit broken by two events counts once, at the worse', () => {
    const got = scored({ lengthS: 20, events: [{ atS: 2 }, { atS: 10, name: 'b' }], columns: { speedRpm: (t) => 800 - dip(90, 2)(t) - dip(160, 10)(t) } }, { sagRpm: 50 });
    expect(got.missed).toHaveLength(1);
    expect(got.missed[0]!.event).toBe('b');
  });

  test('on settling is broken by a speed that never settles, and not by a window too short to tell', () => {
    const never = scored({ columns: { speedRpm: (t) => (t < 2 ? 800 : 700) }, events: [{}] }, { settlingTimeS: 3 });
    expect(never.missed).toMatchObject([{ limit: 'settlingTimeS', value: null, allowed: 3 }]);
    expect(never.verdict).toContain('not settled 3.0 s after load on at 2.0 s');
    const short = scored({ lengthS: 2.5, events: [{}] }, { settlingTimeS: 3 });
    expect(short.missed).toEqual([]);
  });

  test('on what cannot be in a run, or is known not to be, are kept', () => {
    expect(scored(load(120), { overshootPct: 1, huntingRpm: 0 }).missed).toEqual([]);
    expect(scored({ events: [{}] }, { huntingRpm: 0 }).missed).toEqual([]);
    const dies = (t: number): number => 24 * Math.exp(-0.25 * t) * Math.sin(6 * t);
    expect(scored({ lengthS: 20, events: [{}], columns: { speedRpm: (t) => 800 + (t < 2 ? 0 : dies(t - 2)) } }, { huntingRpm: 1 }).missed).toEqual([]);
    const held = { speedRpm: (t: number) => (t < 2 ? 800 : 3000), throttlePct: (t: number) => (t < 2 ? 0 : 20) };
    expect(scored({ events: [{}], columns: held }, { flareRpm: 10, settlingTimeS: 1, sparkActivityDeg: 1 }).missed).toEqual([]);
  });

  test('that could not be told count as missed, with the reason, and cost what a broken one costs', () => {
    // within the band, so settled: 1.4 cycles of what may be hunting by 40 rpm, or not
    const slow: Hand = { events: [{}], columns: { speedRpm: (t) => 800 + (t < 2 ? 0 : 20 * Math.sin(2 * Math.PI * 0.18 * (t - 2))) } };
    const got = scored(slow, { huntingRpm: 20 });
    expect(got.missed).toEqual([{ limit: 'huntingRpm', value: null, allowed: 20, atS: 2, event: 'load on', untold: 'nothing repeats itself 3 times' }]);
    expect(got.verdict).toBe('Misses a limit: hunting could not be told at 2.0 s (load on): nothing repeats itself 3 times');
    expect(got.score).toBeCloseTo(scored(slow).score + 10, 12);
    // it moves by 40 rpm in all, so that it cannot hunt by more
    expect(scored(slow, { huntingRpm: 41 }).missed).toEqual([]);
    const notUp = scored({ events: [{ atS: 0, name: 'start' }], columns: { speedRpm: () => 200 } }, { sagRpm: 100 });
    expect(notUp.missed).toMatchObject([{ limit: 'sagRpm', value: null, untold: 'the engine has not run up to its idle' }]);
  });

  test('that one window was too short for are told by another, and are missed where there is none', () => {
    const short = (lengthS: number): Hand => ({ lengthS, events: [{ atS: 2 }, { atS: 2.1, name: 'b' }], columns: { speedRpm: (t) => 800 + 10 * t } });
    expect(scored({ events: [{ atS: 2 }, { atS: 2.1, name: 'b' }] }, { huntingRpm: 5 }).missed).toEqual([]);
    expect(scored(short(2.2), { huntingRpm: 5 }).missed).toMatchObject([{ limit: 'huntingRpm', untold: 'the stretch is too short to tell' }]);
  });

  test('on settling are missed when the speed left the band and the window ends before it could settle', () => {
    const late = scored({ lengthS: 5, events: [{}], columns: { speedRpm: (t) => (t < 2 || t > 4.5 ? 800 : 700) } }, { settlingTimeS: 4 });
    expect(late.missed).toMatchObject([{ limit: 'settlingTimeS', value: null, untold: 'the window ends before the band has been held for 1 s' }]);
    expect(late.verdict).toContain('settling time could not be told at 2.0 s (load on): the window ends before');
  });

  test('count before the first event too', () => {
    const early: Hand = { lengthS: 20, events: [{ atS: 12 }], columns: { speedRpm: (t) => 800 + (t < 12 ? 15 * Math.sin(2 * Math.PI * t) : 0) } };
    expect(scored(early, { huntingRpm: 20 }).missed).toMatchObject([{ limit: 'huntingRpm', event: 'before the first event', atS: 0 }]);
  });
});

describe('the stretch before the first event', () => {
  // as a base table that is wrong leaves it: away from the target before anything is asked
  const wrong: Hand = { lengthS: 20, events: [{ atS: 12 }], columns: { speedRpm: (t) => 800 - (t < 10 ? 415 * (1 - Math.exp(-t)) : 0) } };

  test('is judged as an event when it sags beyond the band: sag, score and limits', () => {
    const got = scored(wrong, { sagRpm: 100 });
    expect(got.events).toHaveLength(1);
    expect(got.judged.map(({ name }) => name)).toEqual(['before the first event', 'load on']);
    expect(got.metrics.sagRpm).toBeCloseTo(415, 0);
    expect(got.missed).toMatchObject([{ limit: 'sagRpm', event: 'before the first event' }]);
    expect(scored(wrong).verdict).toMatch(/^Holds, but comes within 85 rpm of stalling: deepest sag 415 rpm at 0\.0 s \(before the first event\)/);
  });

  test('is judged when it does not settle, or flares', () => {
    const never = scored({ ...wrong, columns: { speedRpm: (t) => (t < 12 ? 740 : 800) } });
    expect(never.verdict).toMatch(/^Does not settle at 0\.0 s \(before the first event\), still outside the band/);
    const flare = scored({ ...wrong, columns: { speedRpm: (t) => 800 + dip(90, 1)(t) } });
    expect(flare.metrics.flareRpm).toBeCloseTo(90, 0);
  });

  test('is no event when it is quiet, however short, nor before an engine that starts has run', () => {
    for (const atS of [0.02, 0.5, 12]) expect(scored({ lengthS: 20, events: [{ atS }], columns: { speedRpm: (t) => 800 - 10 * Math.exp(-t) } }).judged).toHaveLength(1);
    const start = scored({ events: [{ atS: 2, name: 'starter' }], columns: { speedRpm: (t) => (t < 2 ? 0 : 800 * (1 - Math.exp(-4 * (t - 2)))) } });
    expect(start.judged.map(({ name }) => name)).toEqual(['starter']);
  });
});

describe('the verdict', () => {
  test('says how near a stall it comes when it holds with less than 100 rpm to spare', () => {
    expect(scored(load(451)).verdict).toMatch(/^Holds, but comes within 49 rpm of stalling: deepest sag 451 rpm/);
    expect(scored(load(399)).verdict).toMatch(/^Holds: deepest sag 399 rpm/);
  });

  test('says that the speed hangs, where and why', () => {
    const hung: Hand = {
      events: [{ name: 'blip' }],
      columns: { speedRpm: (t) => (t < 2 ? 800 : 1383 + 2000 * Math.exp(-2 * (t - 2))), throttlePct: (t) => (t >= 2 && t < 2.2 ? 20 : 0) },
      open: [{ fromS: 2, toS: 10, because: 'the speed is above the entry window' }],
    };
    expect(scored(hung).verdict).toMatch(/^Hangs at 1383 rpm: the loop stays open \(the speed is above the entry window\): no sag, flare 591 rpm at 2\.0 s/);
    expect(scored(hung, { flareRpm: 100 }).verdict).toMatch(/^Misses a limit: flare .*; hangs at 1383 rpm: the loop stays open/);
  });

  test('says that the pedal was never let go', () => {
    const columns = { speedRpm: (t: number) => (t < 2 ? 800 : 3000), throttlePct: (t: number) => (t < 2 ? 0 : 20) };
    expect(scored({ events: [{ what: 'blip: throttle 20 % until 6000 rpm' }], columns }).verdict).toMatch(/^The pedal was never let go: 6000 rpm not reached: /);
  });
});

describe('a run that does not settle', () => {
  test('is charged the length of its window', () => {
    const only = fill(scoringTable, { weights: { sagRpm: 0, flareRpm: 0, iaeRpmS: 0, huntingRpm: 0, sparkActivityDeg: 0, valveTravelPctPerS: 0 } });
    const got = scored({ columns: { speedRpm: (t) => (t < 2 ? 800 : 700) }, events: [{}] }, {}, only);
    expect(got.score).toBeCloseTo(8 / 3, 9);
    expect(got.metrics.settlingTimeS).toBeNull();
    expect(got.metrics.reasons.settlingTimeS).toContain('load on: still outside');
    expect(got.verdict).toContain('Does not settle at 2.0 s (load on)');
  });
});

test('one event that settles does not make up for one that never does', () => {
  const got = scored({ lengthS: 20, events: [{ atS: 2 }, { atS: 10, name: 'b' }], columns: { speedRpm: (t) => (t < 10 ? 800 - dip(90)(t) : 700) } });
  expect(got.events[0]!.settlingTimeS).not.toBeNull();
  expect(got.metrics.settlingTimeS).toBeNull();
  expect(got.metrics.reasons.settlingTimeS).toContain('b: still outside');
});

test('an event with the foot down to its end is neither settled nor unsettled', () => {
  const got = scored(
    {
      lengthS: 14,
      events: [{ atS: 2, name: 'foot down' }, { atS: 5, name: 'foot off' }],
      columns: {
        speedRpm: (t) => 800 + (t < 2 ? 0 : t < 5 ? 700 * (t - 2) : 2100 * Math.exp(-2 * (t - 5))),
        throttlePct: (t) => (t >= 2 && t < 5 ? 20 : 0),
      },
    },
    { settlingTimeS: 2.9 },
  );
  expect(got.events[0]!.settlingTimeS).toBeNull();
  expect(got.metrics.settlingTimeS).toBeCloseTo(Math.log(2100 / 25) / 2, 3);
  expect(got.missed).toEqual([]);
  expect(got.verdict).toMatch(/^Holds: no sag, back within 25 rpm in 2\.2 s; no hunting seen$/);
});

describe('a run that stalls', () => {
  test('has finite numbers, a hundred more, and says when and why', () => {
    const got = scored(stall(3.21));
    expect(got.score).toBeGreaterThan(100);
    expect(Number.isFinite(got.score)).toBe(true);
    expect(got).toMatchObject({ stalled: true, stallTimeS: 3.21 });
    expect(got.metrics.stallMarginRpm).toBeLessThanOrEqual(0);
    expect(got.verdict).toBe('Stalls 3.21 s into the run, 1.21 s after load on: the speed fell below 300 rpm');
  });

  test('costs less the longer it survives', () => {
    const scores = [2.3, 3, 4, 6, 9].map((s) => scored(stall(s)).score);
    for (let i = 1; i < scores.length; i++) expect(scores[i]).toBeLessThan(scores[i - 1]!);
  });

  test('breaks a limit on settling, and one on stall margin', () => {
    expect(scored(stall(3), { settlingTimeS: 5, stallMarginRpm: 50 }).missed.map((m) => m.limit)).toEqual(['settlingTimeS', 'stallMarginRpm']);
  });

  test('before its first event is judged whole', () => {
    const got = scored({ ...stall(3), events: [{ atS: 5 }] });
    expect(got.events[0]!.sagRpm).toBeNull();
    expect(got.metrics.sagRpm).toBeCloseTo(500, 9);
    expect(got.score).toBeGreaterThan(100);
  });

  test('in its first row still has a score', () => {
    const got = scored({ stallS: 0 });
    expect(Number.isFinite(got.score)).toBe(true);
    expect(got.score).toBeGreaterThan(100);
  });
});

test('hunting before the first event is told, though the drill is judged by its events', () => {
  const early = (t: number): number => (t < 12 ? 15 * Math.sin(2 * Math.PI * t) : 0);
  const got = scored({ lengthS: 20, events: [{ atS: 12 }], columns: { speedRpm: (t) => 800 + early(t) } });
  expect(got.metrics.huntingRpm).toBeCloseTo(30, 0);
  expect(got.events[0]!.huntingRpm).toBeNull();
  expect(got.verdict).toContain('30 rpm peak to peak at 1.00 Hz');
});

test('"no hunting" is said only where it is known: the speed lies still or its swing dies away; else none was seen', () => {
  const after = (lengthS: number, speed: (t: number) => number) =>
    scored({ lengthS, events: [{}], columns: { speedRpm: (t) => 800 + (t < 2 ? 0 : speed(t - 2)) } }).verdict;
  expect(after(14, () => 0)).toMatch(/; no hunting$/);
  expect(after(20, (t) => 24 * Math.exp(-0.25 * t) * Math.sin(6 * t))).toMatch(/; no hunting$/);
  expect(after(14, (t) => 24 * Math.exp(-t))).toMatch(/; no hunting seen$/);
  expect(after(2.2, (t) => 20 * t)).toMatch(/; no hunting seen$/);
  expect(after(14, (t) => 10 * Math.sin(6 * t))).toMatch(/; hunting 20 rpm peak to peak/);
});

test('hunting is the verdict when it keeps the speed from settling', () => {
  const got = scored({ lengthS: 14, events: [{}], columns: { speedRpm: (t) => 800 - (t < 2 ? 0 : 40 * Math.sin(4 * (t - 2))) } });
  expect(got.verdict).toMatch(/^Hunts 80 rpm peak to peak at 0\.64 Hz: /);
});

test('an engine that never ran is not said to hold', () => {
  expect(scored({ engine: 'cranking', columns: { speedRpm: () => 200 } }).verdict).toMatch(/^Does not run: the engine is cranking/);
});

test('a trace with no rows or a NaN is refused, with the place', () => {
  const limits = fill(limitsTable);
  expect(() => scoreTrace({ ...handTrace(), rows: 0 }, limits, fill(scoringTable))).toThrow('no rows');
  expect(() => scored({ columns: { speedRpm: (t) => (t === 0 ? 800 : Number.NaN) } })).toThrow('column speedRpm, row 1');
});

test('whatever the run, numbers are finite, nulls have reasons, and the same trace has the same score', () => {
  const anyRun = fc.record({
    seed: fc.integer({ min: 1, max: 1e6 }),
    depth: fc.double({ min: -300, max: 600, noNaN: true }),
    lengthS: fc.constantFrom(0, 0.01, 0.5, 3, 12),
    roughRpm: fc.constantFrom(0, 8),
    times: fc.array(fc.constantFrom(0, 1, 2, 2.005, 3, 11.9, 12, 20), { maxLength: 4 }),
    foot: fc.constantFrom(0, 1.5, 20),
    stalls: fc.boolean(),
  });
  fc.assert(
    fc.property(anyRun, ({ seed, depth, lengthS, roughRpm, times, foot, stalls }) => {
      const noise = normal(seed);
      const trace = handTrace({
        lengthS,
        ...(stalls ? { stallS: lengthS } : {}),
        columns: { speedRpm: (t) => 800 - dip(depth, 1)(t) + roughRpm * noise(), throttlePct: (t) => (t > 1 && t < foot ? 10 : 0) },
        events: times.toSorted((a, b) => a - b).map((atS, i) => ({ atS, engagedS: atS + (i % 2) * 0.8 })),
      });
      const got = scoreTrace(trace, fill(limitsTable, { sagRpm: 50, settlingTimeS: 2 }), fill(scoringTable));
      expect(got).toEqual(scoreTrace(trace, fill(limitsTable, { sagRpm: 50, settlingTimeS: 2 }), fill(scoringTable)));
      expect(Number.isFinite(got.score)).toBe(true);
      expect(got.score).toBeGreaterThanOrEqual(stalls ? 100 : 0);
      expect(got.verdict).not.toMatch(/NaN|null|undefined|\n/);
      for (const part of [got.metrics, ...got.events, ...got.events.flatMap((e) => e.fromEngagement ?? [])]) {
        for (const name of METRICS) {
          if (part[name] === null) expect(part.reasons[name], name).toBeTruthy();
          else expect(Number.isFinite(part[name]), name).toBe(true);
        }
      }
    }),
    { numRuns: 150 },
  );
});
