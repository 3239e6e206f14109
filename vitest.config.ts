import { defineConfig } from 'vitest/config';

const project = (name: string, ...include: string[]) => ({
  test: { name, include, testTimeout: 60_000, hookTimeout: 60_000 },
});

export default defineConfig({
  test: {
    projects: [
      project('craft', 'tests/craft/**/*.test.ts', 'tests/reference/**/*.test.ts'),
      project('shelf', 'tests/storage/**/*.test.ts', 'tests/commands/**/*.test.ts'),
      project('edge', 'tests/bot/**/*.test.ts', 'tests/demo/**/*.test.ts'),
      project('house', 'tests/house/**/*.test.ts'),
      project('page', 'tests/page/**/*.test.ts'),
    ],
  },
});
