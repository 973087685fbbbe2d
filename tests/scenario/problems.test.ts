import { describe, expect, it } from 'vitest';
import { loadScenario } from '../../src/scenario/index.js';
import { problems, reader } from './files.js';

/** The one problem of a text. */
const only = async (text: string): Promise<string> => {
  const all = await problems(text);
  expect(all).toHaveLength(1);
  return all[0]!;
};

it('three errors read as the house style shows them', async () => {
  expect(
    await problems('title: warm\nengine:\n  inertia: 180 kg m^2\n  crank: { stall: 300 bar }\ncontroller:\n  pid:\n    kpp: 1\n'),
  ).toEqual([
    's.yaml:3:12  engine.inertia: 180 kg m^2 is outside 0.01 … 2 kg m^2',
    's.yaml:4:19  engine.crank.stall: 300 bar is not in rpm',
    's.yaml:7:5  controller.pid.kpp: unknown key; did you mean kp?',
  ]);
});

describe('a key', () => {
  it('that is unknown is pointed at, with the nearest name, here or elsewhere', async () => {
    expect(await only('engine: { volume: 3 }\n')).toMatch(
      /^s\.yaml:1:11 {2}engine\.volume: .*did you mean engine\.manifold\.volume\?$/,
    );
    expect(await only('engine: { crank: { zzzzzz: 3 } }\n')).toContain('known here: stall, catch, starterTorque, starterSpeed');
    expect(await only('controler: {}\n')).toBe('s.yaml:1:1  controler: unknown key; did you mean controller?');
  });

  it('that belongs to another variant is told so', async () => {
    expect(await only('valve: { kind: stepper, lag: 0.1 }\n')).toBe(
      's.yaml:1:25  valve.lag: unknown key with kind: stepper; it belongs to kind: solenoid',
    );
    expect(await only('engine: { throttle: { leak: { area: 3 } } }\n')).toContain(
      'unknown key with by: flow; it belongs to by: area',
    );
  });

  it('that is missing is told at its parent', async () => {
    expect(await problems('drill:\n  events:\n    - { at: 1 }\n    - { do: gear }\n')).toEqual([
      expect.stringMatching(/^s\.yaml:3:7 {2}drill\.events\.0\.do: is missing; one of load, throttle/),
      's.yaml:4:7  drill.events.1.at: is missing',
      's.yaml:4:7  drill.events.1.gear: is missing',
    ]);
  });

  it('that is given twice is told at the second, and the rest is read all the same', async () => {
    expect(await problems('engine:\n  inertia: 0.1\n  inertia: 9\n')).toEqual([
      's.yaml:3:3  engine.inertia: given twice; first at line 2',
      's.yaml:3:12  engine.inertia: 9 kg m^2 is outside 0.01 … 2 kg m^2',
    ]);
  });

  it('that is named like a part of every object is no key', async () => {
    for (const name of ['__proto__', 'constructor', 'toString', 'hasOwnProperty', 'valueOf']) {
      expect(await only(`${name}: { inertia: 1 }\n`)).toMatch(new RegExp(`^s\\.yaml:1:1 {2}${name}: unknown key`));
      expect(await only(`engine:\n  ${name}: 1\n`)).toContain(`s.yaml:2:3  engine.${name}: unknown key`);
      expect(await only(`valve: { kind: ${name} }\n`)).toContain(`${name} is none of solenoid, stepper`);
      expect(await only(`drill: { events: [{ at: 1, do: ${name} }] }\n`)).toContain(`${name} is none of load`);
    }
    expect(({} as { inertia?: number }).inertia).toBeUndefined();
  });

  it('with a no-break space in it is shown to have one', async () => {
    expect(await only('engine:\n  \u00a0inertia: 0.2\n')).toMatch(/looks like a space or like nothing; did you mean inertia\?/);
    expect(await only('engine\u200b: { inertia: 0.2 }\n')).toContain('did you mean engine?');
  });

  it('is a plain word', async () => {
    expect(await only('? [a, b]\n: 1\n')).toContain('a key must be a plain word');
    expect(await only('<<: { inertia: 1 }\n')).toContain('unknown key');
  });
});

describe('a value', () => {
  it('is a number in its range', async () => {
    for (const [value, message] of [
      ['3 rpm', '3 rpm is not in kg m^2'],
      ['5e9 lb ft^2', '5e9 lb ft^2 (210700000 kg m^2) is outside 0.01 … 2 kg m^2'],
      ['abc', 'abc is not a number'],
      ['.nan', '.nan is not a finite number'],
      ['-.inf', 'finite'],
      ['1_000', 'write 1000'],
      ['0x1F', 'write 31'],
      ['012', 'write 12'],
      ['1,5', 'decimal point'],
      ['"0x1"', 'write 1'],
      ['[1]', 'a number in kg m^2 is wanted, not a list'],
      ['{ a: 1 }', 'not a mapping'],
      ['yes', 'yes is not a number'],
      ['', 'has no value; a number in kg m^2 is wanted'],
      ['null', 'has no value'],
      ['~', 'has no value'],
      ['""', 'is empty'],
    ] as const) {
      const problem = await only(`engine:\n  inertia: ${value}\n`);
      expect(problem).toContain(message);
      expect(problem).toMatch(/^s\.yaml:2:/);
    }
    expect(await only('engine: { cylinders: 3.5 }\n')).toBe('s.yaml:1:22  engine.cylinders: 3.5 is not a whole number');
  });

  it('is one of the choices, yes or no, text, a list, a mapping, as its row wants', async () => {
    for (const [text, message] of [
      [
        'controller: { entry: { driven: stationry } }',
        'stationry is none of clutch-or-neutral, stationary, ignored; did you mean stationary?',
      ],
      ['drill: { start: { settled: 1 } }', 'yes or no is wanted, not 1'],
      ['title: [a]', 'text is wanted, not a list'],
      ['controller: { loads: [{ air: 1, name: }] }', 'text is wanted, not nothing'],
      ['drill: { events: { at: 1 } }', 'a list is wanted, not a mapping'],
      ['engine: 5', 'a mapping of keys is wanted, not 5'],
      ['engine:', 'has nothing in it; a mapping of keys is wanted'],
      ['engine: { fuel: [] }', 'a mapping of keys is wanted, not a list'],
      ['engine: inertia:0.2', 'a space is missing after the colon'],
      ['drills: []', 'a list of 1 to 200 drills is wanted, not 0 items'],
      ['drills: { a: 1 }', 'a list is wanted, not a mapping'],
      ['drills: [{}]\ndrill: {}', 'stands beside drill'],
      [`controller: { loads: [${'{ name: a }, '.repeat(21)}] }`, '21 items; at most 20'],
    ] as const) {
      expect((await problems(`${text}\n`)).join('\n')).toContain(message);
    }
  });

  it('of a curve is a list of pairs, x ascending, each number in its place', async () => {
    const curve = async (text: string): Promise<string> => only(`controller:\n  target: ${text}\n`);
    expect(await curve('[]')).toContain('s.yaml:2:11  controller.target: has no points');
    expect(await curve('5')).toContain('a list of pairs [coolant, speed] is wanted, not 5');
    expect(await curve('[[0, 900], [10]]')).toContain(
      's.yaml:2:22  controller.target.1: a pair [coolant, speed] is wanted, not 1 values',
    );
    expect(await curve('[[0, 900], [20 degC, 800], [68 degF, 700]]')).toContain(
      's.yaml:2:39  controller.target.2.0: 68 degF does not lie above 20 degC before it',
    );
    expect(await curve('[[0, 9000]]')).toContain('s.yaml:2:16  controller.target.0.1: 9000 rpm is outside 300 … 3000 rpm');
    expect(await curve('[[0, 900], 7]')).toContain('controller.target.1: a pair [coolant, speed] is wanted, not 7');
  });
});

describe('a file', () => {
  it('that is not YAML, or not one mapping, is refused in its place', async () => {
    for (const [text, place, message] of [
      ['engine:\n\tinertia: 1\n', '2:1', 'a tab is used for indentation'],
      ['engine: { inertia: 1\n', '', 'is not YAML'],
      ['title: "open\n', '', 'is not YAML'],
      ['title: a\n---\ntitle: b\n', '2:1', 'a second document starts here'],
      ['engine: { inertia: !!float 0.2 }\n', '1:20', 'tags'],
      ['engine: !mine { inertia: 0.2 }\n', '1:9', 'tags'],
      ['engine: *there\n', '1:9', 'anchor'],
      ['', '1:1', 'is empty'],
      ['# only a comment\n', '1:1', 'is empty'],
      ['---\n', '1:1', 'is empty'],
      ['a:1\n', '1:1', 'a space is missing after the colon'],
      ['- title: a\n', '1:1', 'a mapping of keys is wanted, not a list'],
      ['just words\n', '1:1', 'not just words'],
      ['engine: &e { crank: *e }\n', '1:21', 'engine.crank: *e stands inside what it names'],
      ['title: !!binary aGk=\n', '1:17', 'tags'],
      ['title: a\n...\njunk\n', '3:1', 'a second document starts here'],
    ] as const) {
      const found = await problems(text);
      expect(found.length).toBeGreaterThan(0);
      expect(found[0]).toContain(`s.yaml:${place}`);
      expect(found[0]).toContain(message);
    }
  });

  it('that cannot be read is told by name alone', async () => {
    expect(
      await problems({
        get 'gone.yaml'(): string {
          throw Object.assign(new Error('x'), { code: 'EISDIR' });
        },
      }),
    ).toEqual(['gone.yaml  cannot be read: it is a directory']);
    const loaded = await loadScenario('nowhere.yaml', { read: reader({}) });
    expect(loaded.problems).toEqual([
      { file: 'nowhere.yaml', line: 0, column: 0, path: '', message: 'cannot be read: there is no such file' },
    ]);
  });

  it('that is huge, deep, or grows without bound is refused soon', async () => {
    const bomb = [
      'a: &a [x, x, x, x, x, x, x, x, x, x]',
      ...[...'bcdefgh'].map((c, i) => `${c}: &${c} [${`*${'abcdefgh'[i]}, `.repeat(10)}]`),
    ].join('\n');
    const start = performance.now();
    expect(await only(bomb)).toContain('more than 50000 values');
    expect(await only('x'.repeat(1_000_001))).toContain('holds 1000001 characters; at most 1000000');
    expect((await problems(`title: ${'['.repeat(100)}${']'.repeat(100)}\n`))[0]).toContain('nested more than 40 deep');
    expect((await problems(`title: ${'['.repeat(100_000)}\n`)).length).toBeGreaterThan(0);
    expect((await problems(`title: ${'{a: '.repeat(20_000)}${'}'.repeat(20_000)}\n`)).length).toBeGreaterThan(0);
    expect(performance.now() - start).toBeLessThan(20_000);
  }, 30_000);

  it('is never printed at length or with control characters', async () => {
    for (const text of [
      `engine: { inertia: ${'9'.repeat(5000)} }\n`,
      `${'k'.repeat(900)}: 1\n`,
      'engine: { inertia: "\\e[31mred" }\n',
      'title: [1]\n"\\e[2J": 1\n',
      `engine: { inertia: 1 ${'m'.repeat(3000)} }\n`,
      'engine: { inertia: "1 \\e[2J" }\n',
      'engine: { inertia: "1 m\\nfake.yaml:1:1  x" }\n',
    ]) {
      for (const line of await problems(text)) {
        expect(line.length).toBeLessThan(600);
        expect(line).not.toMatch(/[\u0000-\u001f\u007f-\u009f]/);
      }
    }
  });
});

describe('settings that contradict each other', () => {
  it.each([
    [
      'engine:\n  crank: { catch: 300, stall: 310 }\n',
      's.yaml:2:19  engine.crank.catch: catch 300 rpm must lie above stall 310 rpm',
    ],
    ['engine:\n  crank: { stall: 500 }\n', 's.yaml:2:19  engine.crank.stall: catch 450 rpm must lie above stall 500 rpm'],
    [
      'engine: { oil: { viscosity40: 20, viscosity100: 25 } }\n',
      's.yaml:1:31  engine.oil.viscosity40: an oil is thicker at 40 °C (20 mm^2/s given) than at 100 °C (25 mm^2/s)',
    ],
    [
      'controller: { clamp: { lowest: 60, highest: 50 } }\n',
      's.yaml:1:32  controller.clamp.lowest: lowest 60 must not lie above highest 50',
    ],
    ['controller: { hold: 90, range: 80 }\n', 's.yaml:1:21  controller.hold: 90 is beyond the range 80'],
    [
      'controller: { loads: [{ name: fan }, { name: fan }] }\n',
      's.yaml:1:46  controller.loads.1.name: fan is the name of load 0 too',
    ],
    ['run: { record: 0.0105 }\n', 's.yaml:1:16  run.record: 0.0105 s is not a whole number of run.step (0.001 s)'],
    ['run: { step: 3 ms, record: 9 ms }\n', 's.yaml:1:14  run.step: 0.02 s is not a whole number of run.step (0.003 s)'],
    ['run: { step: 0.004, record: 0.002 }\n', 's.yaml:1:29  run.record: 0.002 s is not a whole number of run.step (0.004 s)'],
    ['drill: { events: [{ at: 16, do: mark }] }\n', 's.yaml:1:25  drill.events.0.at: 16 s is after the end of the run at 15 s'],
    [
      'drill: { events: [{ at: 6, do: mark }, { at: 5.5, do: mark }] }\n',
      's.yaml:1:46  drill.events.1.at: 5.5 s is before the event above it at 6 s',
    ],
    [
      'drill: { start: { gear: 2 } }\nengine: { driveline: { gears: [8] } }\n',
      's.yaml:1:25  drill.start.gear: there is no gear 2; engine.driveline.gears has 1',
    ],
    [
      'drills: [{}, { events: [{ at: 1, do: gear, gear: 1 }] }]\n',
      's.yaml:1:50  drills.1.events.0.gear: there is no gear 1; engine.driveline.gears has none',
    ],
    ['valve: { opening: [[0, 0], [50, 60], [100, 40]] }\n', 's.yaml:1:19  valve.opening: falls from 0.6 to 0.4; it must not'],
    ['valve:\n  flow: [[0, 50], [100, 50]]\n', 's.yaml:2:9  valve.flow: never rises; it must somewhere'],
    ['engine: { throttle: { bore: 120 }, manifold: { volume: 0.2 } }\nrun:\n  step: 0.005\n', 's.yaml:3:9  run.step: '],
  ])('are told where they stand: %j', async (text, wanted) => {
    expect(await problems(text)).toContainEqual(expect.stringContaining(wanted));
  });

  it('may look odd and still be right', async () => {
    for (const text of [
      'drill: { start: { engine: off } }\n',
      'run: { step: 0.0001, record: 0.0007 }\ncontroller: { period: 0.0123 }\n',
      'drill: { events: [{ at: 5, do: mark }, { at: 5, do: mark }, { at: 15, do: mark }] }\n',
      'controller: { clamp: { lowest: 40, highest: 40 }, hold: 100 }\n',
    ]) {
      expect(await problems(text)).toEqual([]);
    }
  });
});

it('more rows than memory should hold are refused', async () => {
  const found = await problems('run: { duration: 7200, step: 0.0001, record: 0.0001 }');
  expect(found).toEqual([expect.stringContaining('run.record: 7200 s in rows of 0.0001 s are 72000000 rows; at most 2000000')]);
});
