/**
 * How the tests run: `npx vitest run --config tests/vitest.config.ts [tests/<room>]`.
 *
 * Two projects. `unit` is everything that needs no browser; `browser` drives Chromium, one file at a time, and starts
 * when `unit` has finished, so that the two never share the cores.
 * Each file has a process of its own, which ends with the file: the landmark engine and the image library keep memory.
 */
import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { defineConfig } from 'vitest/config';

const root = resolve(import.meta.dirname, '..');
const BROWSER = ['tests/app/**/*.test.ts', 'tests/**/*.browser.test.ts'];
const dataFolder = process.env.EBBLINE_TEST_DATA ?? resolve(root, '../shared/data');

export default defineConfig({
  root,
  cacheDir: 'node_modules/.vite',
  test: {
    pool: 'forks',
    maxWorkers: 2,
    env: { EBBLINE_TEST_DATA: existsSync(dataFolder) ? dataFolder : '', NEXT_TELEMETRY_DISABLED: '1', TZ: 'UTC' },
    reporters: process.env.EBBLINE_TEST_SUMMARY ? ['default', ['json', { outputFile: process.env.EBBLINE_TEST_SUMMARY }]] : ['default'],
    projects: [
      {
        extends: true,
        test: {
          name: 'unit',
          include: ['tests/**/*.test.ts'],
          exclude: BROWSER,
          testTimeout: 60_000,
          hookTimeout: 120_000,
          sequence: { groupOrder: 0 },
        },
      },
      {
        extends: true,
        test: { name: 'browser', include: BROWSER, maxWorkers: 1, testTimeout: 120_000, hookTimeout: 180_000, sequence: { groupOrder: 1 } },
      },
    ],
  },
});
