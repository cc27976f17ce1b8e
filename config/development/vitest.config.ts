import { defineConfig } from 'vitest/config';
import { noSkips } from './no-skips.ts';

export default defineConfig({
  root: new URL('../..', import.meta.url).pathname,
  oxc: { jsx: { runtime: 'automatic', importSource: 'hono/jsx' } },
  test: {
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    pool: 'forks',
    maxWorkers: 2,
    testTimeout: 20_000,
    reporters: ['default', noSkips()],
  },
});
