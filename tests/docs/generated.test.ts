import { spawnSync } from 'node:child_process';
import { expect, test } from 'vitest';
import { build, BUILD_MS, root } from '../cli/tickover.js';

test('the generated parts of the pages are up to date', { timeout: BUILD_MS }, async () => {
  await build();
  const { stdout, status } = spawnSync(process.execPath, ['docs/make.mjs', '--check'], { cwd: root, encoding: 'utf8' });
  expect(stdout).toBe('');
  expect(status).toBe(0);
});
