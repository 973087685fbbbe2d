/** What a chosen engine or valve has nothing for, names that miss a load, targets at the stall, and what is only warned of. */
import { describe, expect, it } from 'vitest';
import { warningsOf, withValues } from '../../src/scenario/index.js';
import { load, problems } from './files.js';

const regression = (rest: string): Promise<readonly string[]> => problems(`engine: { model: regression }\n${rest}\n`);
const events = (...list: readonly string[]): string => `drill: { events: [${list.map((event, i) => `{ at: ${i + 1}, ${event} }`).join(', ')}] }`;

describe('the regression model', () => {
  it.each([
    ['do: supply, voltage: 12', 'supply'],
    ['do: starter', 'starter'],
    ['do: clutch', 'clutch'],
    ['do: gear, gear: 0', 'gears'],
    ['do: vehicle-speed, speed: 5', 'vehicle'],
    ['do: electrical, power: 100', 'alternator'],
    ['do: machine, name: fan', 'machines'],
  ])('refuses the event { %s } where it stands', async (event, what) => {
    expect(await regression(events(event))).toEqual([expect.stringMatching(new RegExp(`^s\\.yaml:2:\\d+ {2}drill\\.events\\.0\\.do: the regression model has no ${what}$`))]);
  });

  it.each([
    ['supply: 12', 'supply', 'supply'],
    ['engine: off', 'engine', 'starter; it starts running'],
    ['clutch: down', 'clutch', 'clutch'],
    ['gear: 1', 'gear', 'gears'],
    ['vehicleSpeed: 3', 'vehicleSpeed', 'vehicle'],
    ['oil: 40', 'oil', 'oil'],
  ])('refuses a start with { %s }', async (start, key, what) => {
    expect(await regression(`drill: { start: { ${start} } }`)).toEqual([expect.stringMatching(new RegExp(`^s\\.yaml:2:\\d+ {2}drill\\.start\\.${key}: the regression model has no ${what}$`))]);
  });

  it('takes no valve but the solenoid that nobody said anything of', async () => {
    const own = 'the regression model has no valve of its own: this would change nothing; leave the valve out';
    expect(await regression('valve: { kind: stepper, steps: 150 }')).toEqual([`s.yaml:2:16  valve.kind: ${own}`]);
    expect(await regression('valve: { lag: 0.2, opening: [[0, 0], [100, 100]] }')).toEqual([`s.yaml:2:15  valve.lag: ${own}`, `s.yaml:2:29  valve.opening: ${own}`].sort());
    for (const same of ['valve: { kind: solenoid }', 'valve: { lag: 45 ms }', '']) expect(await regression(same)).toEqual([]);
    const scenario = await load('engine: { model: regression }\n');
    expect(() => withValues(scenario, new Map([['valve.lag', 0.2]]))).toThrow(`valve.lag: ${own}`);
  });

  it('feels loads, air, the pedal and the target; of the coolant it is said that only the controller follows it', async () => {
    const text = (event: string): string => `engine: { model: regression }\n${events('do: load, torque: 5', 'do: load, power: 500', 'do: air, flow: 0.1', 'do: throttle, opening: 3', 'do: target, add: 50', event)}\n`;
    expect(warningsOf(await load(text('do: mark')))).toEqual([]);
    expect(warningsOf(await load(text('do: coolant, temperature: 40')))).toEqual(['the regression model has no coolant: only the tables of the controller follow it']);
  });
});

describe('what the mean-value model has only where it is fitted', () => {
  it.each(['stepper', 'throttle-motor'])('a supply that a %s does not feel is refused, unless an alternator does', async (kind) => {
    const text = `valve: { kind: ${kind} }\n${events('do: supply, voltage: 11')}\n`;
    expect(await problems(text)).toEqual([expect.stringMatching(/^s\.yaml:2:\d+ {2}drill\.events\.0\.do: a (stepper|throttle motor) does not feel the supply/)]);
    expect(await problems(`${text}engine: { alternator: { fitted: yes } }\n`)).toEqual([]);
    expect(await problems(`${events('do: supply, voltage: 11')}\n`)).toEqual([]);
  });

  it('a machine and an electrical load want theirs, and are told before anything is run', async () => {
    expect(await problems(`${events('do: machine, name: fan')}\n`)).toEqual([expect.stringMatching(/drill\.events\.0\.name: fan is none of engine\.machines, which has none$/)]);
    expect(await problems(`engine: { machines: [{ name: pump }] }\n${events('do: machine, name: pmp')}\n`)).toEqual([expect.stringMatching(/pmp is none of engine\.machines: pump; did you mean pump\?$/)]);
    expect(await problems(`${events('do: electrical, power: 100')}\n`)).toEqual([expect.stringMatching(/drill\.events\.0\.do: needs an alternator/)]);
    expect(await problems(`engine: { machines: [{ name: pump }], alternator: { fitted: yes } }\n${events('do: machine, name: pump', 'do: electrical, power: 100')}\n`)).toEqual([]);
  });
});

describe('the name of a load', () => {
  const named = (known: string, given: string): Promise<readonly string[]> => problems(`controller: { loads: [{ name: ${known} }] }\n${events(`do: load, name: ${given}, torque: 5`)}\n`);

  it.each([['ac', 'AC'], ['ac', 'a/c'], ['AC', 'ac'], ['compressor', 'compresor'], ['fan 1', 'Fan-1'], ['steering', 'steerign']])('where the controller knows %s, %s is a slip', async (known, given) => {
    expect(await named(known, given)).toEqual([expect.stringMatching(new RegExp(`^s\\.yaml:2:\\d+ {2}drill\\.events\\.0\\.name: no load of the controller is called ${given}; did you mean ${known}\\?$`))]);
  });

  it.each([['ac', 'ac'], ['ac', 'fan'], ['ac', 'ps'], ['fan 1', 'fan 2'], ['compressor', 'steering'], ['load on', 'load off'], ['ac', '""']])('where the controller knows %s, %s is what it says', async (known, given) => {
    expect(await named(known, given)).toEqual([]);
  });
});

describe('a target at or below the stall speed', () => {
  const below = (target: number, when: string): RegExp => new RegExp(`a target of ${target} rpm ${when} does not lie above the stall speed of 300 rpm$`);

  it('is refused at the event that brings it there, whichever of the two it is', async () => {
    expect(await problems(`${events('do: target, add: -500')}\n`)).toEqual([expect.stringMatching(below(300, 'from 1 s on \\(800 − 500\\)'))]);
    expect(await problems(`${events('do: target, add: -499')}\n`)).toEqual([]);
    const warmed = await problems(`drill: { start: { coolant: 20 }, events: [{ at: 1, do: target, add: -600 }, { at: 2, do: coolant, temperature: 90 }] }\n`);
    expect(warmed).toEqual([expect.stringMatching(/^s\.yaml:1:\d+ {2}drill\.events\.1\.temperature: a target of 200 rpm from 2 s on/)]);
    expect(await problems(`${events('do: target, add: -600', 'do: target, add: 0')}\n`)).toHaveLength(1);
  });

  it('is refused at the start, and where a warm-up would bring it', async () => {
    expect(await problems('engine: { crank: { stall: 900, catch: 950 } }\n')).toEqual([expect.stringMatching(/engine\.crank\.stall: a target of 800 rpm at the start does not lie above the stall speed of 900 rpm$/)]);
    expect(await problems('engine: { model: regression, stall: 850 }\n')).toEqual([expect.stringMatching(/engine\.stall: a target of 800 rpm/)]);
    const cold = 'drill: { start: { coolant: 20 }, events: [{ at: 1, do: target, add: -600 }] }\n';
    expect(await problems(cold)).toEqual([]);
    expect(await problems(`${cold}engine: { warmUp: { is: on } }\n`)).toHaveLength(1);
  });

  it('is nothing to a held command, which has no target, and is found in a sweep', async () => {
    expect(await problems(`controller: { hold: 30 }\n${events('do: target, add: -600')}\n`)).toEqual([]);
    const scenario = await load(`${events('do: target, add: -100')}\n`);
    expect(() => withValues(scenario, new Map([['drill.events.0.add', -700]]))).toThrow(/^drill\.events\.0\.add: a target of 100 rpm/);
  });
});

describe('a start at rest', () => {
  const warnings = async (text: string): Promise<readonly string[]> => warningsOf(await load(text));

  it('that the valve can hold has nothing to be said of', async () => {
    for (const text of ['title: plain\n', 'valve: { kind: stepper }\n', 'valve: { kind: throttle-motor }\n', 'engine: { model: regression }\n', 'drill: { start: { coolant: -20 } }\n']) expect(await warnings(text)).toEqual([]);
  });

  it('that it cannot is told with what it would need and what it gives, in the valve’s unit, clamp and belief included', async () => {
    const fast = 'controller: { target: [[80, 2800]] }\n';
    expect(await warnings(fast)).toEqual([expect.stringMatching(/^2800 rpm needs [1-9]\d\d % of the valve; it gives 100 %: the run does not start at rest$/)]);
    expect(await warnings(`${fast}valve: { kind: stepper }\n`)).toEqual([expect.stringMatching(/^2800 rpm needs [2-9]\d\d steps of the valve; it gives 200 steps/)]);
    expect(await warnings('controller: { clamp: { highest: 15 } }\n')).toEqual([expect.stringMatching(/^800 rpm needs 2\d(\.\d)? % of the valve; it gives 15 % within its clamp/)]);
    expect(await warnings('controller: { clamp: { highest: 15 }, range: 50 }\n')).toEqual([]); // 15 of 50 is 30 %
    expect(await warnings('engine: { throttle: { leak: { flow: 10 } } }\n')).toEqual([expect.stringMatching(/^800 rpm needs less air than comes past the shut valve/)]);
    expect(await warnings('controller: { clamp: { lowest: 60 } }\n')).toEqual([expect.stringMatching(/^800 rpm needs less air than comes past 60 %, the least that its clamp allows/)]);
  });

  it('is not spoken of where the run does not claim one: held, unsettled, or off', async () => {
    const clamp = 'clamp: { highest: 15 }';
    for (const text of [`controller: { ${clamp}, hold: 10 }\n`, `controller: { ${clamp} }\ndrill: { start: { settled: no } }\n`, `controller: { ${clamp} }\ndrill: { start: { engine: off } }\n`]) expect(await warnings(text)).toEqual([]);
  });

  it('changes nothing of the run that it is told of', async () => {
    const { simulate } = await import('../../src/loop/simulate.js');
    const scenario = await load('run: { duration: 1 }\n');
    const before = simulate(scenario).columns.speedRpm;
    warningsOf(scenario);
    expect(simulate(scenario).columns.speedRpm).toEqual(before);
  });
});
