import { defineConfig } from 'vitest/config';

/** What Stryker runs: the tests of craft alone, one worker, so that a mutant is judged in under a second. */
export default defineConfig({ test: { include: ['tests/craft/**/*.test.ts'], testTimeout: 30_000, watch: false } });
