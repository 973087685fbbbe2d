import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.ts'],
    reporters: ['default', new URL('./closing-line.ts', import.meta.url).pathname],
    setupFiles: [new URL('./properties.ts', import.meta.url).pathname],
    testTimeout: 300_000,
    // all of them: with one kept back, as is usual, two cores would run one file at a time
    maxWorkers: '100%',
  },
});
