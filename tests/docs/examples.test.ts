/**
 * Every ```ts block of README.md and docs/*.md runs as it stands, in the folder of the checkout, and passes the type check.
 *
 * What stands behind `ts` on the fence says otherwise: `ignore` leaves the block out; `in src/…` makes it a file of that
 * folder, so that its relative imports are found.
 */
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import ts from 'typescript';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));
const library = join(root, 'src/index.ts');

interface Example {
  /** Page and line of the fence. */
  readonly place: string;
  readonly name: string;
  readonly code: string;
}

/** Examples of a page. The fence's line counts, so that a failure can be found. */
function examplesOf(page: string): Example[] {
  const lines = readFileSync(join(root, page), 'utf8').split('\n');
  const found: Example[] = [];
  let open: { readonly fence: string; readonly info: string; readonly line: number } | null = null;
  lines.forEach((line, i) => {
    const [, fence, info = ''] = /^\s*(`{3,}|~{3,})(.*)$/.exec(line) ?? [];
    if (fence === undefined) return;
    if (open === null) {
      open = { fence, info: info.trim(), line: i + 1 };
      return;
    }
    if (fence !== open.fence || info.trim() !== '') return;
    const [language, how, folder] = open.info.split(/\s+/);
    if ((language === 'ts' || language === 'typescript') && how !== 'ignore') {
      const code = lines.slice(open.line, i).join('\n');
      const placed =
        how === 'in'
          ? code.replace(/from '\.\//g, `from '${join(root, folder!)}/`).replace(/from '\.\.\//g, `from '${join(root, folder!, '..')}/`)
          : code;
      found.push({ place: `${page}:${open.line}`, name: `${page.replace(/\W/g, '-')}-${open.line}`, code: placed });
    }
    open = null;
  });
  return found;
}

const pages = [
  'README.md',
  ...readdirSync(join(root, 'docs'))
    .filter((name) => name.endsWith('.md'))
    .map((name) => `docs/${name}`),
];
const examples = pages.flatMap(examplesOf);
const folder = mkdtempSync(join(tmpdir(), 'tickover-examples-'));
const source = ({ name }: Example): string => join(folder, 'src', `${name}.ts`);

beforeAll(async () => {
  mkdirSync(join(folder, 'src'));
  for (const example of examples) writeFileSync(source(example), `${example.code}\nexport {};\n`);
  await build({
    entryPoints: examples.map(source),
    outdir: join(folder, 'out'),
    outExtension: { '.js': '.mjs' },
    alias: { tickover: library },
    absWorkingDir: root,
    bundle: true,
    splitting: true,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    external: ['piscina'],
    logLevel: 'silent',
    banner: { js: "import{createRequire}from'node:module';const require=createRequire(import.meta.url);" },
  });
});

afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('the pages hold examples', () => {
  expect(examples.filter(({ place }) => place.startsWith('docs/library.md')).length).toBeGreaterThan(8);
});

describe('every example runs', () => {
  test.for(examples.map((example) => [example.place, example] as const))('%s', ([, example]) => {
    const { status, stderr } = spawnSync(process.execPath, [join(folder, 'out', `${example.name}.mjs`)], { cwd: root, encoding: 'utf8' });
    expect(stderr).toBe('');
    expect(status).toBe(0);
  });
});

test('every example passes the strict type check that the library itself passes', () => {
  const { config } = ts.readConfigFile(join(root, 'tsconfig.json'), ts.sys.readFile) as { config: { compilerOptions: object } };
  const { options } = ts.convertCompilerOptionsFromJson(
    {
      ...config.compilerOptions,
      noEmit: true,
      rootDir: '/',
      typeRoots: [join(root, 'node_modules/@types')],
      paths: { tickover: [library] },
      noUnusedLocals: false,
    },
    root,
  );
  const program = ts.createProgram(examples.map(source), {
    ...options,
    module: ts.ModuleKind.ESNext,
    moduleResolution: ts.ModuleResolutionKind.Bundler,
  });
  // the examples alone: the library's own files have their own check
  const problems = examples.flatMap((example) => {
    const file = program.getSourceFile(source(example));
    return [...program.getSyntacticDiagnostics(file), ...program.getSemanticDiagnostics(file)].map(
      ({ start, messageText }) =>
        `${example.place} + ${(file?.getLineAndCharacterOfPosition(start ?? 0).line ?? 0) + 1}: ${ts.flattenDiagnosticMessageText(messageText, '\n')}`,
    );
  });
  expect(problems).toEqual([]);
}, 180_000);
