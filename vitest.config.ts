import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/browser/**', 'tests/redis/**', 'tests/bench/**'],
    globalSetup: ['tests/batch/build-model-worker.ts'],
    pool: 'forks',
    testTimeout: 60_000,
    hookTimeout: 60_000,
    // A mark that only one test should run is left over from debugging.
    allowOnly: false,
  },
});
