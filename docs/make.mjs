/**
 * Fills the generated parts of README.md and docs/*.md, so that they cannot drift from the program:
 *
 *     <!-- output: run scenarios/free-rev.yaml -->   what `tickover run …` prints at 80 columns
 *     <!-- output 10-30: … -->                       lines 10 to 30 of it
 *     <!-- reference -->                             every key of a scenario file
 *
 * each up to `<!-- end -->`.   node docs/make.mjs  writes;   node docs/make.mjs --check  says what is out of date, exit 1.
 */
import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const pages = ['README.md', ...readdirSync(`${root}/docs`).filter((name) => name.endsWith('.md')).map((name) => `docs/${name}`)];
const check = process.argv.includes('--check');

function tickover(args) {
  const { FORCE_COLOR: _colour, ...env } = process.env;
  const { stdout, stderr } = spawnSync(process.execPath, ['bin/tickover.js', ...args], {
    cwd: root, encoding: 'utf8', maxBuffer: 1e8, env: { ...env, NO_COLOR: '1', COLUMNS: '80', LINES: '42' },
  });
  return (stdout + stderr).trimEnd().split('\n').map((line) => line.trimEnd());
}

function generated(kind, from, to, command) {
  if (kind === 'reference') return `\n${tickover(['schema', '--reference']).join('\n')}\n\n`;
  const args = command.trim().split(/\s+/);
  const lines = tickover(args).slice(from === undefined ? 0 : Number(from) - 1, to === undefined ? undefined : Number(to));
  return `\n\`\`\`text\n$ tickover ${args.join(' ')}\n${lines.join('\n')}\n\`\`\`\n`;
}

const marker = /(<!-- (output|reference)(?: (\d+)-(\d+))?(?:: ([^>]*?))? -->)[\s\S]*?(<!-- end -->)/g;
let stale = 0;
for (const page of pages) {
  const before = readFileSync(`${root}/${page}`, 'utf8');
  const after = before.replace(marker, (_, start, kind, from, to, command, end) => `${start}\n${generated(kind, from, to, command)}\n${end}`);
  if (after === before) continue;
  stale += 1;
  if (check) console.log(`${page}: out of date; run  node docs/make.mjs`);
  else writeFileSync(`${root}/${page}`, after);
}
if (check && stale > 0) process.exitCode = 1;
