/** Scenario files and settings that are odd, wrong or hostile. */
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, refused, scratch, SHORT, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { path: folder, put } = scratch();
const short = put('short.yaml', SHORT);

describe.concurrent('a file that cannot be read', () => {
  test.each(['run', 'check', 'compare', 'sweep'])('%s says which, and why', async (command) => {
    const more = command === 'sweep' ? ['--vary', 'engine.inertia=0.1,0.2'] : command === 'compare' ? [short] : [];
    await refused([command, 'missing.yaml', ...more], /^missing\.yaml {2}cannot be read: there is no such file$/m);
    await refused([command, folder, ...more], /cannot be read: it is a directory$/m);
    await refused([command, '', ...more], /cannot be read/);
  });

  test.each([
    ['empty.yaml', '', /empty\.yaml:1:1 {2}is empty; a mapping of keys is wanted/],
    ['blank.yaml', '\n\n  \n', /blank\.yaml:\d+:\d+ {2}is empty/],
    ['comment.yaml', '# nothing\n', /comment\.yaml:\d+:\d+ {2}is empty/],
    ['text.yaml', 'just words', /text\.yaml:1:1 {2}.*a mapping of keys is wanted/],
    ['list.yaml', '- 1\n- 2\n', /list\.yaml:1:1 {2}.*a mapping of keys is wanted/],
    ['json.yaml', '[{]', /json\.yaml:1:\d+ {2}is not YAML/],
    ['tabs.yaml', 'engine:\n\tinertia: 1\n', /tabs\.yaml:2:\d+ {2}/],
    ['twice.yaml', 'title: a\ntitle: b\n', /twice\.yaml:2:1/],
  ])('%s: the place and the reason', async (name, text, message) => {
    await refused(['run', put(name, text)], message);
  });

  test('that is binary gives a message without anything that a terminal acts on', async () => {
    const { err } = await refused(['run', put('binary.yaml', readFileSync(process.execPath).subarray(0, 200_000))], /binary\.yaml:/);
    expect([...err].filter((c) => c !== '\n' && (c < ' ' || (c >= '\x7f' && c < '\xa0')))).toEqual([]);
    expect(err).toMatch(/binary\.yaml:1:\d+ {2}is not text: it holds a NUL byte\n1 problem; nothing was run\n$/);
  });

  test('quotes at most 80 characters of it, escapes counted', async () => {
    const odd = '\x01'.repeat(500);
    const { err } = await refused(['check', put('odd-value.yaml', `engine: {inertia: "${odd}", "${odd}": 1}\n${odd}: 1\n`)], /nothing was run/);
    for (const line of err.split('\n')) expect(line.match(/(\\u0001)+/g)?.every((run) => run.length <= 80) ?? true, line).toBe(true);
    expect(err).toContain('\\u0001');
  });

  test('that is huge is refused at once', async () => {
    const file = put('huge.yaml', `notes: ${'x'.repeat(30_000_000)}\n`);
    const since = Date.now();
    await refused(['check', file], /holds 30000008 characters; at most 1000000/);
    expect(Date.now() - since).toBeLessThan(15_000);
  });

  test.each([
    ['laughs.yaml', `a: &a [x, x]\n${Array.from({ length: 30 }, (_, i) => `${String.fromCharCode(98 + (i % 25))}${i}: &b${i} [${i === 0 ? '*a, *a' : `*b${i - 1}, *b${i - 1}`}]`).join('\n')}\n`],
    ['deep.yaml', `engine: ${'['.repeat(20_000)}${']'.repeat(20_000)}\n`],
    ['nested.yaml', `engine: ${'{a: '.repeat(5_000)}1${'}'.repeat(5_000)}\n`],
    ['circle.yaml', 'engine: {from: circle.yaml}\n'],
  ])('%s: what is meant to exhaust it does not', async (name, text) => {
    const since = Date.now();
    await refused(['check', put(name, text)], new RegExp(name.replace('.', '\\.')));
    expect(Date.now() - since).toBeLessThan(20_000);
  });

  test('with ten thousand problems tells twenty, one a line, each with its place, and how many there are', async () => {
    const many = 10_000;
    const file = put('many.yaml', `engine:\n${Array.from({ length: many }, (_, i) => `  wrong${i}: ${i}\n`).join('')}`);
    const since = Date.now();
    const { err } = await refused(['check', file], /^10000 problems; nothing was run$/m);
    expect(Date.now() - since).toBeLessThan(30_000);
    const lines = err.trimEnd().split('\n');
    expect(lines).toHaveLength(22);
    expect(lines[20]).toBe('and 9980 more');
    for (const [i, line] of lines.slice(0, 20).entries()) expect(line.startsWith(`${file}:${i + 2}:3  engine.wrong${i}: `)).toBe(true);
  });
});

describe.concurrent('a wrong key or value', () => {
  test('is told with file, line and column, key path, what was given, what is allowed, and the nearest name', async () => {
    const file = put('wrong.yaml', 'engine:\n  inertai: 0.2\n  cylinders: 4.5\n  displacement: 1.8 kg\n  compressionRatio: 100\nvalve: {kind: solenoyd}\ncontroler: {}\n');
    const { err } = await refused(['run', file], /5|6 problems; nothing was run/);
    const line = (start: string): string => err.split('\n').find((each) => each.startsWith(`${file}:${start}  `)) ?? '';
    expect(line('2:3')).toMatch(/engine\.inertai: unknown key.*did you mean inertia\?/);
    expect(line('3:14')).toMatch(/engine\.cylinders: 4\.5.*whole number/);
    expect(line('4:17')).toMatch(/engine\.displacement: .*kg/);
    expect(line('5:21')).toMatch(/engine\.compressionRatio: 100 is outside 6 … 16/);
    expect(line('6:15')).toMatch(/valve\.kind: .*solenoyd.*solenoid/);
    expect(line('7:1')).toMatch(/controler: .*did you mean controller\?/);
  });

  test('in a file that another takes in is told in that file', async () => {
    const part = put('part.yaml', 'cylinders: 4\ninertia: heavy\n');
    await refused(['run', put('whole.yaml', 'engine: {from: part.yaml}\n')], new RegExp(`^${part}:2:10 {2}engine\\.inertia: `, 'm'));
    const { err } = await refused(['run', 'here.yaml'], /^here\.yaml:1:15 {2}valve\.from: /, { cwd: (put('here.yaml', 'valve: {from: .}\n'), folder) });
    expect(err).toContain('. (the folder that this is run in) cannot be read: it is a directory');
    await refused(['run', put('gone.yaml', 'engine:\n  from: nowhere.yaml\n')], /gone\.yaml:2:9 {2}engine\.from: .*nowhere\.yaml cannot be read: there is no such file/);
  });

  test('odd but right input is taken: a byte-order mark, CRLF, no end of line, a control character in a title', async () => {
    for (const text of [`\ufeff${SHORT}`, SHORT.replaceAll('\n', '\r\n'), SHORT.trimEnd(), 'title: a\x01b\n']) expect((await tickover(['check', put('odd.yaml', text)])).code).toBe(0);
    expect((await tickover(['check', put('a name with spaces é.yaml', 'title: bare\n')])).code).toBe(0);
  });
});

describe.concurrent('--set', () => {
  test.each([
    ['engine.inertia', /^--set {2}engine\.inertia: write key=value/m],
    ['=3', /write key=value/],
    ['', /write key=value/],
    ['engine.inertai=0.2', /^--set {2}engine\.inertai: unknown key.*did you mean inertia\?$/m],
    ['engin.inertia=0.2', /did you mean engine\?/],
    ['engine.inertia=', /engine\.inertia/],
    ['engine.inertia=heavy', /engine\.inertia: /],
    ['engine.inertia=0.2 km', /engine\.inertia: /],
    ['engine.inertia=-1', /outside 0\.01 … 2 kg m\^2/],
    ['engine.inertia=NaN', /engine\.inertia: /],
    ['engine.inertia=1e999', /engine\.inertia: /],
    ['engine.inertia.deep=1', /engine\.inertia/],
    ['engine=4', /engine/],
    ['__proto__.polluted=1', /__proto__/],
    ['constructor.name=x', /constructor/],
    ['controller.target=[[80, 800], [20, 900]]', /controller\.target/],
    ['controller.target=[[80', /controller\.target/],
    ['drill.events.99.at=1', /drill\.events/],
    ['run.step=0.0007', /is not a whole number of run\.step/],
    ['valve.kind=gate', /valve\.kind/],
    [`engine.${'x'.repeat(10_000)}=1`, /unknown key/],
  ])('%s is refused', async (setting, message) => {
    await refused(['run', short, '--set', setting], message);
  });

  test('the last of several counts, and each is read', async () => {
    const { out } = await tickover(['check', short, '--set', 'engine.inertia=0.2', '--set', 'engine.inertia=0.3', '--set', 'run.seed=5', '--json']);
    const { scenarios } = JSON.parse(out) as { scenarios: readonly { settings: readonly { path: string; text: string; origin: string }[] }[] };
    const setting = (path: string) => scenarios[0]!.settings.find((each) => each.path === path);
    expect(setting('engine.inertia')).toMatchObject({ text: '0.3 kg m^2', origin: '--set' });
    expect(setting('run.seed')).toMatchObject({ text: '5', origin: '--set' });
  });
});

describe.concurrent('an engine, tables and drills that do not go together', () => {
  test.each([
    ['steps-back.yaml', 'controller:\n  base: [[-20, 60], [80, 22], [20, 37]]\n', /^.*steps-back\.yaml:2:32 {2}controller\.base\.2\.0: 20 does not lie above 80 before it; coolant must ascend\n1 problem; nothing was run\n$/],
    ['twice.yaml', 'controller:\n  target: [[20, 900], [20, 800]]\n', /controller\.target\.1\.0: 20 does not lie above 20 before it/],
    ['no-machine.yaml', 'drill:\n  events:\n    - {do: machine, at: 1 s, name: compressor}\n', /no-machine\.yaml:3:36 {2}drill\.events\.0\.name: compressor is none of engine\.machines, which has none/],
    ['near.yaml', 'controller: {loads: [{name: compressor, air: 4}]}\ndrill:\n  events:\n    - {do: load, at: 1 s, name: compresor, torque: 4}\n', /near\.yaml:4:33 {2}drill\.events\.0\.name: no load of the controller is called compresor; did you mean compressor\?/],
    ['no-clutch.yaml', 'drill:\n  events:\n    - {do: clutch, at: 1 s}\n', /no-clutch\.yaml:3:12 {2}drill\.events\.0\.do: the car has no clutch: engine\.driveline\.gears has no gear; this would change nothing/],
    ['clutch-down.yaml', 'drill: {start: {clutch: down}}\n', /clutch-down\.yaml:1:25 {2}drill\.start\.clutch: the car has no clutch/],
    ['no-gear.yaml', 'drill: {start: {gear: 3}}\n', /no-gear\.yaml:1:23 {2}drill\.start\.gear: there is no gear 3; engine\.driveline\.gears has none/],
    ['no-alternator.yaml', 'drill:\n  events:\n    - {do: electrical, at: 1 s, power: 100 W}\n', /no-alternator\.yaml:3:12 {2}drill\.events\.0\.do: needs an alternator/],
  ])('%s: the place and the reason', async (name, text, message) => {
    for (const command of ['run', 'check', 'setup']) await refused([command, put(name, text)], message);
  });

  test('a valve that cannot reach the target at a temperature is said in a note, never passed over', async () => {
    const cold = ['scenarios/solenoid.yaml', '--set', 'valve.size.flow=4', '--set', 'drill.start.coolant=-20'];
    const note = /^Note: 1300 rpm needs 1\d\d % of the valve; it gives 100 %: the run does not start at rest\.$/m;
    for (const command of ['run', 'check']) expect((await tickover([command, ...cold], { columns: 120 })).out).toMatch(note);
    const { warnings } = JSON.parse((await tickover(['run', ...cold, '--json'])).out) as { readonly warnings: readonly string[] };
    expect(warnings).toEqual([expect.stringMatching(/^1300 rpm needs/)]);
  });

  test('a sheet to a folder that is not there is refused before anything is computed', async () => {
    await refused(['setup', short, '--sheet', `${folder}/nowhere/sheet.html`], /nowhere\/sheet\.html: cannot be written: the folder is not there/);
  });
});
