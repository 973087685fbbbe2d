/** Whatever numbers a file holds, and in whatever units, they arrive; and whatever is corrupted is told on its line. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { loadScenario, numericKeys, type NumericKey, withValues } from '../../src/scenario/index.js';
import { load, problems, reader } from './files.js';

/** Other units of the same dimension: exact numbers of the documented unit in one of the other, an offset for temperature. */
const OTHERS: Readonly<Record<string, readonly (readonly [string, number, number?])[]>> = {
  s: [
    ['ms', 1e-3],
    ['minute', 60],
    ['s', 1],
  ],
  rpm: [
    ['deg/s', 1 / 6],
    ['rad/s', 30 / Math.PI],
    ['1/s deg', 1 / 6],
  ],
  deg: [
    ['°', 1],
    ['rad', 180 / Math.PI],
  ],
  degC: [
    ['K', 1, -273.15],
    ['°C', 1, 0],
    ['degF', 5 / 9, (-32 * 5) / 9],
  ],
  kPa: [
    ['Pa', 1e-3],
    ['bar', 100],
    ['hPa', 0.1],
  ],
  bar: [
    ['kPa', 0.01],
    ['Pa', 1e-5],
  ],
  L: [
    ['cm³', 1e-3],
    ['m^3', 1e3],
    ['mL', 1e-3],
  ],
  'kg m^2': [
    ['lb ft^2', 0.45359237 * 0.3048 ** 2],
    ['kg·m²', 1],
    ['g m^2', 1e-3],
  ],
  kg: [
    ['lb', 0.45359237],
    ['g', 1e-3],
  ],
  'g/s': [
    ['kg/hour', 1 / 3.6],
    ['kg/s', 1e3],
  ],
  'mm^2': [
    ['cm²', 100],
    ['m^2', 1e6],
  ],
  mm: [
    ['m', 1e3],
    ['inch', 25.4],
  ],
  m: [
    ['ft', 0.3048],
    ['km', 1000],
  ],
  'km/h': [
    ['m/s', 3.6],
    ['km/hour', 1],
  ],
  'N m': [
    ['lbf ft', 0.45359237 * 9.80665 * 0.3048],
    ['N·m', 1],
  ],
  N: [['kN', 1e3]],
  V: [['mV', 1e-3]],
  W: [['kW', 1e3]],
  'MJ/kg': [
    ['kJ/g', 1],
    ['J/kg', 1e-6],
  ],
  '%/rpm': [
    ['% / rpm', 1],
    ['percent/rpm', 1],
  ],
  '%/(rpm s)': [['%/(rpm minute)', 1 / 60]],
  '% s/rpm': [['% ms/rpm', 1e-3]],
};

const base = await load('title: keys\n');

/** Keys that may take any number in their range without contradicting another. */
const FREE =
  /^(engine\.(inertia|displacement|compressionRatio|backPressure|roughness|ambient|manifold|throttle\.(closedAngle|discharge|leak)|fuel\.(stoich|heat)|friction|charge|torque|delays|driveline\.(mass|drag|rolling)|crank\.starter)|valve\.(lag|size|supply|hyst)|controller\.(pid|entry|spark\.(rate|authority)|hold)|drill\.start\.(coolant|oil|supply|vehicleSpeed)|run\.(seed|senseResolution)|limits|scoring)/;
const keys = numericKeys(base).filter(({ path }) => FREE.test(path) && !/\.\d+$/.test(path));
// a manifold too small, or a valve too large, for the step is refused, and so is a law that falls below zero; the plant's own tests see to that
const highest = ({ path, max }: NumericKey): number =>
  /(size|leak)\.flow$/.test(path) ? 40 : path === 'engine.torque.misfireCharge' ? 0.11 : max;
const lowest = ({ path, min }: NumericKey): number =>
  /^engine\.(charge|friction)\.\w+Speed2?$/.test(path) ? 0 : path === 'engine.manifold.volume' ? 3 : path === 'engine.ambient.pressure' ? 80 : path === 'engine.torque.burningCharge' ? 0.11 : min;

/** A number in a key's range, and the same written in some unit. */
const written = (key: NumericKey) =>
  fc
    .record({ share: fc.double({ min: 0.001, max: 0.999, noNaN: true }), unit: fc.nat(), bare: fc.boolean() })
    .map(({ share, unit, bare }) => {
      const raw = lowest(key) + share * (highest(key) - lowest(key));
      const value = key.integer ? Math.round(raw) : Number(raw.toPrecision(15));
      const others = OTHERS[key.unit] ?? [];
      const other = others[unit % Math.max(1, others.length)];
      const text =
        other === undefined || key.integer
          ? bare || key.unit === ''
            ? `${value}`
            : `${value} ${key.unit}`
          : `${(value - (other[2] ?? 0)) / other[1]} ${other[0]}`;
      return { key, value, text };
    });

const someKeys = fc
  .uniqueArray(fc.constantFrom(...keys), { minLength: 1, maxLength: 12, selector: (key) => key.path })
  .chain((picked) => fc.tuple(...picked.map(written)));

type Nest = { [key: string]: Nest | string };

/** One line a key, nested as the paths say. */
function yaml(values: readonly { readonly key: NumericKey; readonly text: string }[]): string {
  const root: Nest = {};
  for (const { key, text } of values) {
    const parts = key.path.split('.');
    const last = parts.pop()!;
    const at = parts.reduce<Nest>((nest, part) => (nest[part] ??= {}) as Nest, root);
    at[last] = text;
  }
  const lines = (nest: Nest, indent: string): string[] =>
    Object.entries(nest).flatMap(([key, value]) =>
      typeof value === 'string' ? [`${indent}${key}: ${value} # given`] : [`${indent}${key}:`, ...lines(value, `${indent}  `)],
    );
  return `${lines(root, '').join('\n')}\n`;
}

/** All numbers of two values of the same shape agree to 1e-12, all else is equal. */
function expectSame(a: unknown, b: unknown, path = ''): void {
  if (typeof a === 'number' && typeof b === 'number') {
    if (!(Math.abs(a - b) <= 1e-12 * Math.max(Math.abs(a), Math.abs(b)))) throw new Error(`${path}: ${a} is not ${b}`);
  } else if (typeof a === 'object' && a !== null && typeof b === 'object' && b !== null) {
    expect(Object.keys(a)).toEqual(Object.keys(b));
    for (const key of Object.keys(a)) expectSame((a as Nest)[key], (b as Nest)[key], `${path}.${key}`);
  } else expect(a, path).toEqual(b);
}

it('numbers written in any unit arrive as those put in one by one, to 1e-12', async () => {
  await fc.assert(
    fc.asyncProperty(someKeys, async (values) => {
      const loaded = await load(yaml(values));
      const put = withValues(base, new Map(values.map(({ key, value }) => [key.path, value])));
      expectSame(
        { ...loaded, title: '', airGiven: [...loaded.airGiven].sort() },
        { ...put, title: '', airGiven: [...put.airGiven].sort() },
      );
    }),
    { numRuns: 150 },
  );
}, 60_000);

const CORRUPT: readonly ((key: NumericKey) => string)[] = [
  () => 'abc',
  () => '.nan',
  () => '.inf',
  () => '0x1F',
  () => '1_000',
  () => '[1]',
  () => '{ a: 1 }',
  () => '3 candela',
  () => '3 nonsense',
  () => '012',
  ({ max, unit }) => `${max + Math.max(1, Math.abs(max))} ${unit}`.trim(),
  ({ min }) => `${min - Math.max(1, Math.abs(min))}`,
];

it('any one corrupted value is told on its own line, and nothing else is', async () => {
  await fc.assert(
    fc.asyncProperty(someKeys, fc.nat(), fc.constantFrom(...CORRUPT), async (values, which, corrupt) => {
      const target = values[which % values.length]!;
      const text = yaml(values.map((v) => (v === target ? { ...v, text: corrupt(v.key) } : v)));
      const line =
        text
          .split('\n')
          .findIndex((l, i, all) => l.includes(`${corrupt(target.key)} # given`) && pathAt(all, i) === target.key.path) + 1;
      const found = (await loadScenario('s', { read: reader({ s: text }) })).problems;
      expect(found.map((p) => [p.line, p.path.startsWith(target.key.path)])).toEqual([[line, true]]);
    }),
    { numRuns: 150 },
  );
}, 60_000);

it('any one misspelt key is told on its own line', async () => {
  await fc.assert(
    fc.asyncProperty(someKeys, fc.nat(), fc.constantFrom('x', '_', '\u00a0', '1'), async (values, which, junk) => {
      const target = values[which % values.length]!;
      const bad = { ...target, key: { ...target.key, path: `${target.key.path}${junk}z` } };
      const text = yaml(values.map((v) => (v === target ? bad : v)));
      const line = text.split('\n').findIndex((_, i, all) => pathAt(all, i) === bad.key.path) + 1;
      expect(line).toBeGreaterThan(0);
      expect((await loadScenario('s', { read: reader({ s: text }) })).problems.map((p) => p.line)).toEqual([line]);
    }),
    { numRuns: 60 },
  );
}, 60_000);

/** Key path of a line of block YAML, from its indentation. */
function pathAt(lines: readonly string[], index: number): string {
  const parts: string[] = [];
  let depth = Number.POSITIVE_INFINITY;
  for (let i = index; i >= 0; i--) {
    const [, indent, key] = /^( *)([^:]*):/.exec(lines[i]!) ?? [];
    if (indent === undefined || indent.length >= depth) continue;
    depth = indent.length;
    parts.unshift(key!);
  }
  return parts.join('.');
}

it('no text whatever makes it throw', async () => {
  const bits = fc.constantFrom(
    'engine',
    'valve',
    'drill',
    'drills',
    'events',
    'from',
    'kind',
    'do',
    ':',
    ': ',
    '\n',
    '\n  ',
    '\n    ',
    '- ',
    '[',
    ']',
    '{',
    '}',
    ',',
    '&a ',
    '*a',
    '!!str ',
    '|',
    '>',
    '"',
    "'",
    '#',
    '0.1',
    'stepper',
    'null',
    '\t',
    '\u00a0',
    '%',
    '---\n',
    '<<',
    '__proto__',
    '?',
  );
  await fc.assert(
    fc.asyncProperty(fc.array(fc.oneof(bits, fc.string({ unit: 'binary', maxLength: 4 })), { maxLength: 40 }), async (parts) => {
      for (const line of await problems({ s: parts.join(''), '0.1': 'a: 1', stepper: 'kind: stepper' }))
        expect(line).toMatch(/^\S+ {2}/);
    }),
    { numRuns: 1500 },
  );
}, 60_000);
