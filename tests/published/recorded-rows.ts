/** Every number of ours that docs/verification.md puts beside recorded idles: row by row, by running the shipped parts. */
import { simulate } from '../../src/loop/simulate.js';
import { interpolate } from '../../src/numerics/curve.js';
import type { Scenario } from '../../src/scenario/index.js';
import { at, between, caughtAt, column, deviation, eighteen, fifteen, heldAfter, least, mean, most, read, run, settlingOf, twenty, WARM_C } from './recorded.js';

/** A recorded range and our number, and how many decimals the page gives it. */
export interface RecordedRow {
  readonly name: string;
  /** As the page prints it. */
  readonly recorded: string;
  readonly low: number;
  readonly high: number;
  readonly digits: number;
  readonly ours: number;
}

const row = (name: string, recorded: string, [low, high]: readonly [number, number], digits: number, ours: number): RecordedRow => ({ name, recorded, low, high, digits, ours });
const BARE = 'alternator: {fitted: no}';
const spark = (deg: number): string => `spark: {base: [[80, ${deg}]]}`;
const idling = (seconds: number): string => `drill: {start: {coolant: ${WARM_C}}}\nrun: {duration: ${seconds}}`;

/** eron93br/carOBD (IEEE document 8891367), warm, and with its air-conditioner on. */
export async function warmRows(): Promise<readonly RecordedRow[]> {
  const rows: RecordedRow[] = [];
  for (const [what, degrees, engine] of [['bare, 12°', 12, BARE], ['bare, its own 1.1°', 1.1, BARE], ['alternator fitted, 12°', 12, '']] as const) {
    const trace = await run(fifteen(idling(20), spark(degrees), engine));
    rows.push(row(`A, warm at 653 rpm, ${what}: manifold, kPa`, '25.1 ± 1.0', [24.1, 26.1], 1, at(trace, 'mapKpa', 20)));
    rows.push(row(`A, ${what}: air, g/s per litre`, '0.9–1.2', [0.9, 1.2], 2, at(trace, 'airGs', 20) / 1.5));
  }
  const rough = await run(fifteen(idling(120), '', 'roughness: 5'));
  // each channel of the record is refreshed about every 1.9 s
  const seen = Float64Array.from({ length: 50 }, (_, i) => at(rough, 'speedRpm', 20 + 1.9 * i));
  rows.push(row('A, spread of the speed, read each 1.9 s, roughness 5 %: sd, rpm', '3–6', [3, 6], 1, deviation(seen)));

  const compressor = await read(fifteen(
    `drill: {start: {coolant: ${WARM_C}}, events: [{do: machine, at: 2, name: air-conditioner, on: yes}]}\nrun: {duration: 40}`,
    'loads: [{name: air-conditioner, air: 8 %, lead: 0.2 s, speedUp: 197 rpm}]',
  ));
  const trace = simulate(compressor);
  rows.push(
    row('A, air-conditioner on at 850 rpm: manifold, kPa', '35.5 ± 1.4', [34.1, 36.9], 1, at(trace, 'mapKpa', 40)),
    row('A, air-conditioner on: air, g/s per litre', '1.6–2.1', [1.6, 2.1], 2, at(trace, 'airGs', 40) / 1.5),
    row('A, air-conditioner coming on, air fed forward: dip, rpm', 'none to be seen', [0, 10], 0, at(trace, 'speedRpm', 1.9) - least(between(trace, 'speedRpm', 2, 40))),
    row('A, air-conditioner coming on: highest, rpm', '880', [860, 900], 0, most(between(trace, 'speedRpm', 2, 40))),
    row('A, air-conditioner coming on: settled within 25 rpm, s', 'by 13', [0, 13], 1, settlingOf(compressor, trace, 'air-conditioner')!),
  );
  return rows;
}

/** Starts of the 1.5 L four: at 28 °C and the warm-up after it, and warm. D: AndrewCloete/pyobd, 863 rpm at 47 °C, 823 at 57, 802 at 62. */
export async function startRows(): Promise<readonly RecordedRow[]> {
  const startFor = (seconds: number, controller = ''): Promise<Scenario> => read(fifteen(
    `drill: {start: {engine: off, coolant: 28}, events: [{do: starter, at: 1 s, name: start, hold: 4 s}]}\nrun: {duration: ${seconds}, record: 0.05}`,
    controller, 'warmUp: {is: on}\n  ambient: {temperature: 28}',
  ));
  const cold = simulate(await startFor(602));
  const more = simulate(await startFor(30, 'start: {cranking: [[20, 80]], after: [[20, 40]]}'));
  const since = caughtAt(cold);
  const speed = (seconds: number): number => at(cold, 'speedRpm', since + seconds);
  const warm = simulate(await read(fifteen(`drill: {start: {engine: off, coolant: ${WARM_C}}, events: [{do: starter, at: 1 s, name: start, hold: 4 s}]}\nrun: {duration: 30}`)));
  const caught = caughtAt(warm);
  const { targetRpm } = (await read(eighteen(''))).controller;
  return [
    row('A and D, speed against coolant, 20 to 60 °C, rpm/°C', '−9 (A), −4 (D)', [-9, -4], 1, (interpolate(targetRpm, 60) - interpolate(targetRpm, 20)) / 40),
    row('A, start at 28 °C: flare, rpm', '1600–1940', [1600, 1940], 0, most(column(cold, 'speedRpm'))),
    row('A, the same with 80 % while cranking and 40 % after start: flare, rpm', '1600–1940', [1600, 1940], 0, most(column(more, 'speedRpm'))),
    row('A, 22 s after it, rpm', 'near 1420', [1370, 1470], 0, speed(22)),
    row('A, 45 s after it, rpm', '950–985', [950, 985], 0, speed(45)),
    row('A, 120 s after it, rpm', 'about 850', [825, 875], 0, speed(120)),
    row('A, 500 s after it, rpm', '650', [640, 660], 0, speed(500)),
    row('A, warm restart: within 50 rpm of its target, s', '5–10', [5, 10], 1, heldAfter(warm, 50, caught, 30)),
  ];
}

const RECORDED_RISE = [[60, 42], [120, 51], [240, 62], [400, 74], [600, 85]] as const;
/** "As recorded", for a coolant temperature, °C. */
const NEAR_C = 5;

/** Coolant of the running 1.5 L four from 27 °C: bare, as the defaults were fitted, and with its alternator fitted. */
export async function riseRows(): Promise<readonly RecordedRow[]> {
  const rows: RecordedRow[] = [];
  for (const [what, engine] of [['bare (the fit)', BARE], ['alternator fitted', '']] as const) {
    const trace = await run(fifteen('drill: {start: {coolant: 27}}\nrun: {duration: 600, record: 0.5}', '', `${engine}\n  warmUp: {is: on}\n  ambient: {temperature: 27}`));
    for (const [seconds, celsius] of RECORDED_RISE) rows.push(row(`A, coolant ${seconds} s after 27 °C, ${what}, °C`, String(celsius), [celsius - NEAR_C, celsius + NEAR_C], 1, at(trace, 'coolantC', seconds)));
  }
  return rows;
}

/** The electric fan coming on: 29 events of the record. */
export async function fanRows(): Promise<readonly RecordedRow[]> {
  const rows: RecordedRow[] = [];
  const trim = 'spark: {base: [[80, 12]], rate: 0.085, authority: 4}';
  for (const [what, car, controller] of [
    ['1.8 L at 800 rpm, air alone', eighteen, ''], ['1.8 L at 800 rpm, with trim', eighteen, trim], ['1.5 L at 653 rpm, air alone', fifteen, ''], ['1.5 L at 653 rpm, with trim', fifteen, trim],
  ] as const) {
    const scenario = await read(car('drill: {from: drills/fan.yaml}\nrun: {duration: 30}', controller));
    const trace = simulate(scenario);
    const target = at(trace, 'targetRpm', 1);
    rows.push(row(`A’s fan on our ${what}: dip, rpm`, '30–75', [30, 75], 0, target - least(between(trace, 'speedRpm', 2, 30))));
    rows.push(row(`A’s fan on our ${what}: settled within 25 rpm, s`, 'by 12', [0, 12], 1, settlingOf(scenario, trace, 'fan')!));
    if (car === eighteen && controller === '') rows.push(row('A’s fan on our 1.8 L: manifold, kPa', '+2', [1, 3], 1, at(trace, 'mapKpa', 30) - at(trace, 'mapKpa', 1.9)));
  }
  return rows;
}

/** sauprankul/obd2_data_analyzer: a 2.0 L-class four (displacement inferred) at 711 to 715 rpm. */
export async function secondRows(): Promise<readonly RecordedRow[]> {
  const rough = await run(twenty(idling(120), spark(11), 'roughness: 5'));
  // 0.64 s a channel
  const seen = Float64Array.from({ length: 150 }, (_, i) => at(rough, 'speedRpm', 20 + 0.64 * i));
  const rows = [
    row('B, warm at 713 rpm, alternator fitted, 11°: manifold, kPa', '30–34', [30, 34], 1, mean(between(rough, 'mapKpa', 20, 120))),
    row('B: air, g/s', '2.9–3.3', [2.9, 3.3], 2, mean(between(rough, 'airGs', 20, 120))),
    row('B, spread of the speed, read each 0.64 s, roughness 5 %: sd, rpm', '11–15', [11, 15], 1, deviation(seen)),
  ];
  for (const [what, more] of [['no dashpot', ''], ['dashpot 6 %, 1.5 s', 'openAir: {dashpot: 6 %, dashpotTime: 1.5 s}']] as const) {
    const scenario = await read(twenty('drill: {from: drills/free-rev.yaml}\nrun: {duration: 20}', `spark: {base: [[80, 11]], rate: 0.085, authority: 4}\n  ${more}`));
    const trace = simulate(scenario);
    const speed = column(trace, 'speedRpm');
    const peak = speed.indexOf(most(speed));
    const below = (rpm: number): number => speed.findIndex((value, k) => k > peak && value <= rpm) * trace.recordS;
    const falls = speed.subarray(peak);
    rows.push(
      row(`B, free-rev, ${what}: 1851 → 898 rpm, s`, '1.8', [1.5, 2.1], 2, below(898) - below(1851)),
      row(`B, free-rev, ${what}: lowest below target, rpm`, '17–21', [17, 21], 0, 713 - least(falls)),
      row(`B, free-rev, ${what}: that low, s after 1851 rpm`, '6.6', [6, 7.2], 1, (peak + falls.indexOf(least(falls))) * trace.recordS - below(1851)),
      row(`B, free-rev, ${what}: manifold floor, kPa`, '15–20', [15, 20], 1, least(column(trace, 'mapKpa').subarray(peak))),
    );
  }
  const overrun = simulate(await read(twenty('drill: {from: drills/overrun.yaml}\nrun: {duration: 12}')));
  rows.push(row('B, overrun in gear: manifold floor, kPa', '15–20', [15, 20], 1, least(between(overrun, 'mapKpa', 0.5, 6))));
  return rows;
}
