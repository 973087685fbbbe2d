/** The library as `tsc -p .` compiles it: dist where it is newer than src, otherwise a build in a temporary folder. */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, rmSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';

export const ROOT = resolve(import.meta.dirname ?? new URL('.', import.meta.url).pathname, '../..');
const DIST = join(ROOT, 'dist');

const newest = (folder) =>
  Math.max(...readdirSync(folder, { recursive: true, withFileTypes: true }).map((entry) => (entry.isFile() ? statSync(join(entry.path, entry.name)).mtimeMs : 0)));

/** Whether dist has been built since src was last written to. */
export const distIsFresh = () => existsSync(join(DIST, 'index.js')) && statSync(join(DIST, 'index.js')).mtimeMs >= newest(join(ROOT, 'src'));

/** @returns folder of compiled files, and what removes it if it is a temporary one */
export function compiled() {
  if (distIsFresh()) return { folder: DIST, remove: () => undefined };
  const folder = mkdtempSync(join(tmpdir(), 'tickover-bench-'));
  const remove = () => rmSync(folder, { recursive: true, force: true });
  const tsc = join(ROOT, 'node_modules/typescript/bin/tsc');
  const run = spawnSync(process.execPath, [tsc, '-p', ROOT, '--outDir', folder, '--declaration', 'false'], { encoding: 'utf8' });
  if (!existsSync(join(folder, 'plant/plant.js'))) {
    remove();
    throw new Error(`tsc made nothing:\n${run.stdout}${run.stderr}`);
  }
  if (run.status !== 0) console.log(`note: tsc has complaints:\n${run.stdout}`);
  symlinkSync(join(ROOT, 'node_modules'), join(folder, 'node_modules'));
  writeFileSync(join(folder, 'package.json'), '{"type":"module"}\n');
  return { folder, remove };
}
