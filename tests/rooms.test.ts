/** The house rules that a compiler does not check: who may import whom, and what a run's bits may depend on. */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const SRC = resolve(dirname(fileURLToPath(import.meta.url)), '../src');

const ROOMS: Readonly<Record<string, readonly string[]>> = {
  parameter: [],
  numerics: ['parameter'],
  plant: ['numerics', 'parameter'],
  controller: ['numerics', 'parameter'],
  loop: ['plant', 'controller', 'numerics', 'parameter'],
  units: ['parameter'],
  score: ['loop', 'parameter', 'numerics'],
  scenario: ['units', 'plant', 'controller', 'loop', 'score', 'parameter'],
  linear: ['loop', 'plant', 'controller', 'numerics', 'parameter'],
  search: ['linear', 'scenario', 'score', 'loop', 'plant', 'controller', 'numerics', 'parameter', 'units'],
  setup: ['search', 'linear', 'scenario', 'score', 'loop', 'plant', 'controller', 'numerics', 'parameter', 'units'],
  identify: ['search', 'linear', 'scenario', 'score', 'loop', 'plant', 'controller', 'numerics', 'parameter', 'units'],
  report: ['parameter', 'numerics', 'plant', 'controller', 'loop', 'units', 'linear', 'score', 'scenario', 'search', 'setup', 'identify'],
  lessons: ['parameter', 'numerics', 'plant', 'controller', 'loop', 'units', 'linear', 'score', 'scenario', 'search', 'setup'],
  page: ['parameter', 'numerics', 'plant', 'controller', 'loop', 'linear', 'score', 'scenario', 'report'],
  cli: ['parameter', 'numerics', 'plant', 'controller', 'loop', 'units', 'linear', 'score', 'scenario', 'search', 'setup', 'identify', 'report', 'lessons', 'page', 'index'],
  index: ['parameter', 'numerics', 'plant', 'controller', 'loop', 'units', 'linear', 'score', 'scenario', 'search', 'setup', 'identify', 'report', 'lessons'],
};

/** Rooms whose bits must be equal on every machine. */
const EXACT = new Set(['numerics', 'plant', 'controller', 'loop']);
const ALLOWED_MATH = new Set('sqrt abs min max floor ceil round trunc sign fround imul'.split(' '));

interface Source {
  readonly path: string;
  /** Code without comments, strings kept. */
  readonly code: string;
}

/** Code without comments; strings, templates and regular expressions stay, or with `strings` false are emptied. */
function strip(text: string, strings: boolean): string {
  const token = /\/\/[^\n]*|\/\*[\s\S]*?\*\/|'(?:\\.|[^'\\\n])*'|"(?:\\.|[^"\\\n])*"/g;
  return text.replace(token, (match) => {
    if (match.startsWith('/')) return match.replace(/[^\n]/g, ' ');
    return strings ? match : `${match[0]}${match[0]}`;
  });
}

/** 'plant' for plant/crank.ts, 'index' for index.ts. */
const roomOf = (path: string): string => path.split(sep)[0]?.replace(/\.ts$/, '') ?? '';

/** Every module named by an import, an export from, or an import(); `types` where only types come over. */
function importsOf(code: string): { from: string; types: boolean }[] {
  const found: { from: string; types: boolean }[] = [];
  const statement = /\b(import|export)(\s+type\b)?((?:[\s\w*$,]|\{[^}]*\})*?)\bfrom\s*(['"])([^'"]+)\4/g;
  for (const match of code.matchAll(statement)) {
    const list = /^\s*\{([^}]*)\}\s*$/.exec(match[3] ?? '')?.[1] ?? '';
    const names = list.split(',').map((name) => name.trim()).filter(Boolean);
    const everyNameIsType = names.length > 0 && names.every((name) => name.startsWith('type '));
    found.push({ from: match[5] as string, types: match[2] !== undefined || everyNameIsType });
  }
  for (const match of code.matchAll(/\bimport\s*\(?\s*(['"`])([^'"`]+)\1/g)) found.push({ from: match[2] as string, types: false });
  for (const match of code.matchAll(/\brequire\s*\(\s*(['"`])([^'"`]+)\1/g)) found.push({ from: match[2] as string, types: false });
  for (const match of code.matchAll(/\bnew URL\(\s*(['"`])(\.[^'"`]+\.js)\1/g)) found.push({ from: match[2] as string, types: false });
  return found;
}

function checkImports({ path, code }: Source): string[] {
  const room = roomOf(path);
  const allowed = ROOMS[room];
  if (allowed === undefined) return [`${path}: no room is called ${room}`];
  return importsOf(code).flatMap(({ from, types }) => {
    if (!from.startsWith('.')) return [];
    const target = roomOf(join(dirname(path), from).replace(/\.js$/, '.ts'));
    if (target === room) return [];
    if (!allowed.includes(target)) return [`${path}: ${room} may not import ${target} (${from})`];
    if (room === 'numerics' && target === 'parameter' && !types) return [`${path}: numerics may import only types from parameter (${from})`];
    return [];
  });
}

function checkOutside({ path, code }: Source): string[] {
  const room = roomOf(path);
  if (room === 'cli') return [];
  const bare = strip(code, false);
  const found = importsOf(code)
    .filter(({ from }) => /^(node:)?(fs|process|child_process|tty|readline|os|net|https?)(\/|$)/.test(from))
    .map(({ from }) => `imports ${from}`);
  for (const word of ['process', 'console', 'performance']) {
    if (new RegExp(`(?<![\\w.$])(?:globalThis\\s*\\.\\s*)?${word}\\s*(?:\\?\\.|[.[])`).test(bare)) found.push(`uses ${word}`);
  }
  if (/(?<![\w.$])Date\s*(?:[.(]|\b(?=;))|\bnew\s+Date\b/.test(bare)) found.push('uses Date');
  if (/\bMath\s*\.\s*random\b/.test(bare)) found.push('uses Math.random');
  if (room !== 'search' && importsOf(code).some(({ from }) => /worker_threads|^piscina/.test(from))) found.push('starts workers');
  return found.map((what) => `${path}: ${what}`);
}

function checkBits({ path, code }: Source): string[] {
  if (!EXACT.has(roomOf(path))) return [];
  const bare = strip(code, false);
  const found: string[] = [];
  for (const [, name] of bare.matchAll(/\bMath\s*(?:\?\.|\.)\s*(\w+)/g)) {
    if (/^[A-Z0-9_]+$/.test(name as string) || ALLOWED_MATH.has(name as string)) continue;
    found.push(`uses Math.${name}`);
  }
  if (/\bMath\s*(?!\s*\??\.)[^\s.?\w]/.test(bare)) found.push('hands Math on, out of sight of this check');
  for (const [, exponent] of bare.matchAll(/\*\*=?\s*([^\s;,)\]}]+)/g)) {
    if (!/^[-+]?\d+$/.test(exponent as string)) found.push(`raises to a power that is no whole number written out: ** ${exponent}`);
  }
  if (/(?<![\w.$])Date\b/.test(bare)) found.push('uses Date');
  return found.map((what) => `${path}: ${what}`);
}

const sources: Source[] = readdirSync(SRC, { recursive: true, withFileTypes: true })
  .filter((entry) => entry.isFile() && entry.name.endsWith('.ts'))
  .map((entry) => {
    const file = join(entry.parentPath, entry.name);
    return { path: relative(SRC, file), code: strip(readFileSync(file, 'utf8'), true) };
  });

const from = (path: string, text: string): Source => ({ path: join(...path.split('/')), code: strip(text, true) });

describe('the rooms of src', () => {
  it('are read by this test', () => {
    expect(sources.length).toBeGreaterThan(10);
    expect(sources.flatMap(({ code }) => importsOf(code)).length).toBeGreaterThan(10);
  });

  it('import one way only', () => {
    expect(sources.flatMap(checkImports)).toEqual([]);
  });

  it('leave files, the process, the console, the clock and chance to cli', () => {
    expect(sources.flatMap(checkOutside)).toEqual([]);
  });

  it('use nothing whose bits differ between machines in numerics, plant, controller and loop', () => {
    expect(sources.flatMap(checkBits)).toEqual([]);
  });
});

describe('these checks can fail: they see', () => {
  it.each([
    ['plant/a.ts', "import { x } from '../controller/pid.js';"],
    ['plant/a.ts', "import type { X } from '../loop/trace.js';"],
    ['plant/laws/a.ts', "export * from '../../score/step.js';"],
    ['plant/a.ts', "import {\n  x,\n  type Y,\n} from '../controller/pid.js';"],
    ['loop/a.ts', "const { x } = await import('../score/step.js');"],
    ['report/a.ts', "import '../cli/main.js';"],
    ['loop/a.ts', "import { x } from '../index.js';"],
    ['numerics/a.ts', "import { si } from '../parameter/table.js';"],
    ['numerics/a.ts', "import { type Curve, si } from '../parameter/table.js';"],
    ['attic/a.ts', ''],
  ])('a forbidden import in %s: %s', (path, text) => {
    expect(checkImports(from(path, text))).toHaveLength(1);
  });

  it.each([
    ['numerics/a.ts', "import type { Curve } from '../parameter/table.js';"],
    ['numerics/a.ts', "import { type Curve } from '../parameter/table.js';"],
    ['plant/a.ts', "// import { x } from '../controller/pid.js';\nimport { y } from './crank.js';"],
    ['plant/laws/a.ts', "import { y } from '../crank.js';"],
    ['cli/a.ts', "import { x } from '../index.js';"],
  ])('nothing wrong in %s: %s', (path, text) => {
    expect(checkImports(from(path, text))).toEqual([]);
  });

  it.each([
    ['report/a.ts', "import { readFileSync } from 'node:fs';"],
    ['search/a.ts', "import { readFile } from 'node:fs/promises';"],
    ['search/a.ts', "import process from 'node:process';"],
    ['score/a.ts', 'if (process.env.DEBUG) x();'],
    ['report/a.ts', 'console.log(1);'],
    ['scenario/a.ts', 'const t = Date.now();'],
    ['score/a.ts', 'const t = new Date();'],
    ['search/a.ts', 'const t = performance.now();'],
    ['search/a.ts', 'const x = Math.random();'],
    ['score/a.ts', "import { Worker } from 'node:worker_threads';"],
  ])('a look outside in %s: %s', (path, text) => {
    expect(checkOutside(from(path, text))).toHaveLength(1);
  });

  it.each([
    ['cli/a.ts', "import { readFileSync } from 'node:fs'; console.log(process.argv);"],
    ['search/a.ts', "import { Worker } from 'node:worker_threads';"],
    ['plant/a.ts', "// console.log(process.argv)\nconst text = 'console.log(Date.now())';"],
    ['plant/a.ts', 'const y = engine.process.x;'],
  ])('no look outside in %s: %s', (path, text) => {
    expect(checkOutside(from(path, text))).toEqual([]);
  });

  it.each([
    ['plant/a.ts', 'const y = Math.exp(x);'],
    ['loop/a.ts', 'const y = Math.hypot(a, b);'],
    ['numerics/a.ts', 'const y = x ** 0.5;'],
    ['controller/a.ts', 'const y = x ** n;'],
    ['controller/a.ts', 'y **= (1 / 3);'],
    ['plant/a.ts', 'const { exp } = Math;'],
    ['plant/a.ts', "const y = Math['exp'](x);"],
    ['plant/a.ts', 'const y = Math.random();'],
    ['loop/a.ts', 'const t = Date.now();'],
  ])('bits that differ in %s: %s', (path, text) => {
    expect(checkBits(from(path, text))).toHaveLength(1);
  });

  it.each([
    ['plant/a.ts', 'const y = Math.sqrt(Math.PI * x ** 2) + 2 ** -53; // Math.exp(x) ** 0.5'],
    ['score/a.ts', 'const y = Math.exp(x) ** 0.5;'],
    ['plant/a.ts', '/** The Math of it: Math.exp. */ const y = Math.max(1, 2);'],
  ])('bits that are equal in %s: %s', (path, text) => {
    expect(checkBits(from(path, text))).toEqual([]);
  });
});
