/**
 * Fills the generated parts of README.md and docs/*.md, so that they cannot drift from the program:
 *
 *     <!-- output: run scenarios/free-rev.yaml -->   what `tickover run …` prints at 80 columns
 *     <!-- output 10-30: … -->                       lines 10 to 30 of it
 *     <!-- reference -->                             every key of a scenario file
 *     <!-- picture free-rev: run … -->               the picture that `tickover run … --svg` draws, as docs/pictures/free-rev.svg
 *
 * each up to `<!-- end -->`.   node docs/make.mjs [PAGE…]  writes;   node docs/make.mjs --check  says what is out of date, exit 1.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const asked = process.argv.slice(2).filter((argument) => !argument.startsWith('--'));
const all = ['README.md', ...readdirSync(`${root}/docs`).filter((name) => name.endsWith('.md')).map((name) => `docs/${name}`)];
const pages = asked.length === 0 ? all : all.filter((page) => asked.includes(page));
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

const UNESCAPED = { '&lt;': '<', '&gt;': '>', '&quot;': '"', '&#39;': "'", '&amp;': '&' };
const drawn = new Set();

/** Draws a picture. @returns what refers to it; its description is what those read who do not see it */
function picture(page, name, command) {
  const args = command.trim().split(/\s+/);
  const svg = `${tickover([...args, '--svg', '-']).join('\n')}\n`;
  const [, about] = /<desc>([^<]*)<\/desc>/.exec(svg) ?? [];
  if (about === undefined) throw new Error(`${page}: tickover ${args.join(' ')} --svg - drew nothing: ${svg.slice(0, 400)}`);
  const file = `docs/pictures/${name}.svg`;
  drawn.add(`${name}.svg`);
  if (!existsSync(`${root}/${file}`) || readFileSync(`${root}/${file}`, 'utf8') !== svg) outOfDate(file, svg);
  const alt = about.replace(/&(?:lt|gt|quot|amp|#39);/g, (entity) => UNESCAPED[entity]).replace(/[[\]\\]/g, '\\$&');
  return `\n![${alt}](${page.startsWith('docs/') ? file.slice('docs/'.length) : file})\n\n\`tickover ${args.join(' ')} --svg ${name}.svg\` draws it.\n`;
}

/** Says that a file is out of date, or writes it. */
function outOfDate(file, text) {
  stale += 1;
  if (check) console.log(`${file}: out of date; run  node docs/make.mjs`);
  else writeFileSync(`${root}/${file}`, text);
}

const marker = /(<!-- (output|reference|picture)(?: (\d+)-(\d+)| ([\w-]+))?(?:: ([^>]*?))? -->)[\s\S]*?(<!-- end -->)/g;
let stale = 0;
if (!check) mkdirSync(`${root}/docs/pictures`, { recursive: true });
for (const page of pages) {
  const before = readFileSync(`${root}/${page}`, 'utf8');
  const after = before.replace(marker, (_, start, kind, from, to, name, command, end) => `${start}\n${kind === 'picture' ? picture(page, name, command) : generated(kind, from, to, command)}\n${end}`);
  if (after !== before) outOfDate(page, after);
}
if (asked.length === 0 && existsSync(`${root}/docs/pictures`)) {
  for (const name of readdirSync(`${root}/docs/pictures`).filter((name) => !drawn.has(name))) {
    stale += 1;
    if (check) console.log(`docs/pictures/${name}: is on no page; node docs/make.mjs takes it away`);
    else rmSync(`${root}/docs/pictures/${name}`);
  }
}
if (check && stale > 0) process.exitCode = 1;
