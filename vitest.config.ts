import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: [
      'src/**/*.test.ts',
      'web/**/*.test.ts',
      'web/**/*.test.tsx',
      'data/**/*.test.ts',
      'scripts/**/*.test.ts',
      'tests/**/*.test.ts',
    ],
    pool: 'threads',
    maxWorkers: 2,
    testTimeout: 60_000,
  },
});
