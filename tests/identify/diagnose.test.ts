import { describe, expect, test } from 'vitest';
import { CAUSES, diagnose, limitsFrom, type Recording, recordingOfTrace, SYMPTOM_LIMITS } from '../../src/identify/diagnose/index.js';
import { speedSpikes } from '../../src/identify/diagnose/sensors.js';
import { sustainedWave } from '../../src/identify/diagnose/wave.js';
import { simulate } from '../../src/loop/simulate.js';
import { createRandom } from '../../src/numerics/random.js';
import { run, shipped, suite } from '../trade/shipped.js';

const H = 0.05;
const rows = (s: number): number => Math.round(s / H);

/** A recording in which nothing happens, with channels put in. */
function plain(s: number, more: Partial<Recording> = {}): Recording {
  const random = createRandom(3);
  const of = (value: number): Float64Array => new Float64Array(rows(s)).fill(value);
  return {
    name: 'log', periodS: H, startS: 0, rows: rows(s), speedRpm: of(800).map((n) => Math.round(n + 5 * random.normal())), targetRpm: of(800),
    air: of(20), airUnit: '%', airLimits: null, mapKpa: of(32).map((p) => p + 0.3 * random.normal()), sparkDeg: of(12), coolantC: of(90), throttlePct: of(14), vehicleKmh: of(0), clutch: of(0), loads: [], stalled: false, ...more,
  };
}
const wave = (s: number, hz: number, size: number, phaseDeg = 0): Float64Array => Float64Array.from({ length: rows(s) }, (_, k) => size * Math.sin(2 * Math.PI * hz * k * H + (phaseDeg * Math.PI) / 180));
const swung = (hz: number, airAngle: number, airSize: number, sparkSize = 0): Recording => {
  const speed = plain(30).speedRpm.map((n, k) => n + (wave(30, hz, 50)[k] as number));
  // error is target less speed: turned by half a cycle
  return plain(30, { speedRpm: speed, air: wave(30, hz, airSize, 180 + airAngle).map((a) => 20 + a), sparkDeg: wave(30, hz, sparkSize, 180).map((a) => 12 + a) });
};
const causes = (recording: Recording): readonly string[] => diagnose(recording).findings.map(({ cause }) => cause);

describe('oscillations, by the phase that a controller of one kind gives (closed forms)', () => {
  test('air a quarter turn behind the error is an integral', () => expect(causes(swung(0.5, -90, 1))[0]).toBe('air-integral-hunting'));
  test('air in step with the error is a proportional gain', () => expect(causes(swung(0.8, 0, 1.5))[0]).toBe('air-proportional-hunting'));
  test('air ahead of the error is a derivative', () => expect(causes(swung(1.2, 60, 2))[0]).toBe('air-derivative-hunting'));
  test('spark that swings more torque than the air is the spark loop', () => expect(causes(swung(2.2, 0, 0.5, 9))[0]).toBe('spark-hunting'));
  test('a swing that no command takes part in is the engine’s', () => expect(causes(swung(0.7, 0, 0))[0]).toBe('engine-hunting'));
  test('its frequency and size are told', () => expect(diagnose(swung(0.5, -90, 1)).findings[0]?.evidence[0]).toMatch(/^(9\d|10\d) rpm peak to peak at 0.50 Hz/));

  test('noise through a well damped lag is none, but for one stretch in twenty at the most', () => {
    let found = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const random = createRandom(seed);
      let [x, v] = [0, 0];
      const noise = Float64Array.from({ length: rows(25) }, () => {
        for (let i = 0; i < 5; i++) v += (H / 5) * (-2 * 0.3 * 4 * v - 16 * x + 900 * random.normal()), (x += (H / 5) * v);
        return x;
      });
      if (sustainedWave(noise, H, Infinity) !== null) found++;
    }
    expect(found).toBeLessThanOrEqual(3);
  });
});

describe('what is no fault of the loop', () => {
  /** Dips and rises that die away, as a load that comes and goes makes them; the air follows as an integral does. */
  const cycling = (everyS: number): Recording => {
    const kick = (k: number): number => {
      const [turn, since] = [Math.floor((k * H) / everyS), (k * H) % everyS];
      return (turn % 2 === 0 ? -1 : 1) * 60 * (since / 0.6) * Math.exp(1 - since / 0.6);
    };
    const speedRpm = plain(60).speedRpm.map((n, k) => n + kick(k));
    let integral = 0;
    return plain(60, { speedRpm, air: speedRpm.map((n) => 20 + (integral += 0.01 * (800 - n) * H)) });
  };
  test.each([3, 5])('a load that no channel tells of, every %d s, is no hunting', (everyS) => expect(causes(cycling(everyS))).toEqual([]));

  test('a stepper that follows roughness by a step now and then is no limit cycle, and one whose steps move the speed is', () => {
    const held = (perStep: number): Recording => {
      const air = Float64Array.from({ length: rows(60) }, (_, k) => (Math.floor((k * H) / 1.4 + 0.3 * Math.sin(k * H)) % 2 === 0 ? 30 : 31));
      const late = rows(0.6);
      const rough = createRandom(5);
      let speed = 0;
      return plain(60, {
        airUnit: 'step', air,
        speedRpm: air.map((_, k) => Math.round(800 + (speed += (H / 0.5) * (perStep * ((air[Math.max(0, k - late)] as number) - 30.5) - speed)) + 7 * rough.normal())),
      });
    };
    expect(causes(held(8))).toEqual([]);
    expect(causes(held(110))[0]).toBe('stepper-limit-cycle');
  });
});

describe('readings that no engine can give', () => {
  test('a dropped reading is told and taken out of everything else', () => {
    const recording = plain(20);
    recording.speedRpm[200] = 0;
    expect(causes(recording)).toEqual(['speed-sensor']);
  });
  test('a stall is no spike', () => {
    const speedRpm = Float64Array.from({ length: 40 }, (_, k) => Math.max(0, 800 - 60 * k));
    expect(speedSpikes({ speedRpm, rows: 40, periodS: H }).includes(1)).toBe(false);
  });
  test('coolant that jumps is told', () => expect(causes(plain(20, { coolantC: new Float64Array(rows(20)).fill(90).map((c, k) => (k > 200 && k < 260 ? c - 12 : c)) }))).toEqual(['coolant-sensor']));
  test('warming up is no jump', () => expect(causes(plain(60, { coolantC: Float64Array.from({ length: rows(60) }, (_, k) => Math.round(20 + 0.4 * k * H)) }))).toEqual([]));
});

describe('commands that stand still', () => {
  const low = plain(20).speedRpm.map((n, k) => (k > 160 ? n - 70 : n));
  test('at the known end of a clamp it is the clamp', () => expect(causes(plain(20, { speedRpm: low, airLimits: [0, 20] }))[0]).toBe('clamp-high'));
  test('that answer nothing anywhere are an open loop', () => expect(causes(plain(20, { speedRpm: low }))[0]).toBe('entry-never'));
  test('without an air command nothing is claimed of it, and that is said', () => {
    const found = diagnose(plain(20, { speedRpm: low, air: null }));
    expect(found.findings).toEqual([]);
    expect(found.unseen.join()).toMatch(/no air command/);
  });
});

describe('runs of our own', () => {
  test('every drill of the shipped job is healthy by the limits it states', async () => {
    for (const scenario of (await suite('job.yaml')).filter(({ drill }) => !/warm-up/.test(drill.name))) {
      const { findings } = diagnose(recordingOfTrace(simulate(scenario), scenario, scenario.drill.name), limitsFrom(scenario.limits));
      // the hot day is there to show load air that is too small
      expect(findings.filter(({ cause }) => cause !== 'load-air-small').map(({ cause, evidence }) => `${cause}: ${evidence.join()}`), scenario.drill.name).toEqual([]);
    }
  });

  test('two causes at once are both found', async () => {
    const job = (await suite('job.yaml')).find(({ drill }) => drill.name === 'air-conditioner on and off')!;
    const both = run(job, { 'controller.loads.0.air': 0, 'controller.clamp.highest': 19.2 });
    expect(both.trace.stalled).toBe(false);
    const speedRpm = recordingOfTrace(both.trace, job, 'x');
    expect(diagnose(speedRpm).findings.map(({ cause }) => cause)).toContain('clamp-high');
    const sensor = { ...recordingOfTrace(run(job, { 'controller.loads.0.air': 0 }).trace, job, 'x') };
    sensor.speedRpm[90] = 0;
    expect(diagnose(sensor).findings.map(({ cause }) => cause)).toEqual(['speed-sensor', 'load-air-small']);
  });

  test('what is found does not hang on when it happens', async () => {
    const scenario = await shipped('solenoid.yaml', ['controller.pid.ki=0.2']);
    const recording = recordingOfTrace(simulate(scenario), scenario, 'x');
    const later = { ...recording, startS: 1000 };
    const [a, b] = [diagnose(recording).findings, diagnose(later).findings];
    expect(b.map(({ cause, size }) => [cause, size])).toEqual(a.map(({ cause, size }) => [cause, size]));
    expect(b[0]?.fromS).toBeCloseTo((a[0]?.fromS ?? 0) + 1000, 6);
  });

  test('a scenario’s own limits are taken', () => {
    expect(limitsFrom({ sagRpm: 280 }).sagRpm).toBe(280);
    expect(limitsFrom({ sagRpm: 280 }).flareRpm).toBe(280);
    expect(limitsFrom(null)).toBe(SYMPTOM_LIMITS);
  });
});

test('every cause has a setting, a direction and what tells it apart', () => {
  for (const [name, cause] of Object.entries(CAUSES)) for (const text of Object.values(cause)) expect(text.length, name).toBeGreaterThan(3);
});
