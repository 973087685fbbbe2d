/** plant.c, compiled by whatever compiler is there. */
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ROOT } from './library.mjs';

const SOURCE = join(ROOT, 'tests/bench/plant.c');

/** Both C programs, or null where there is no compiler. */
export function yardsticks() {
  const compiler = ['cc', 'gcc', 'clang'].find((name) => spawnSync(name, ['--version']).status === 0);
  if (compiler === undefined) return null;
  const folder = mkdtempSync(join(tmpdir(), 'tickover-bench-c-'));
  const build = (name, flags) => {
    const file = join(folder, name);
    execFileSync(compiler, ['-std=c11', '-O3', ...flags, SOURCE, '-o', file, '-lm'], { stdio: ['ignore', 'inherit', 'inherit'] });
    return () => JSON.parse(execFileSync(file, ['200'], { encoding: 'utf8' }));
  };
  return {
    compiler: execFileSync(compiler, ['--version'], { encoding: 'utf8' }).split('\n')[0],
    tables: build('tables', []),
    libm: build('libm', ['-DUSE_LIBM']),
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}
