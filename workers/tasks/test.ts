/**
 * `npm test`: everything that must hold before a change is kept. Lint, build, types, tests, browser tests; each runs even
 * when one before it failed, so that one look shows all that is wrong.
 */
import { mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { ensureChromium } from './chromium.ts';
import { buildPage } from './page-build.ts';
import { ROOT, runStep, type Step } from './step.ts';
import { readTestSummary, summaryLines } from './test-summary.ts';

const SUMMARY = join(ROOT, 'tests', '.output', 'summary.json');
const tool = (path: string) => join(ROOT, 'node_modules', path);

mkdirSync(join(ROOT, 'tests', '.output'), { recursive: true });
rmSync(SUMMARY, { force: true });

const withoutBrowser = ensureChromium();
if (withoutBrowser !== null) console.error(`\n[ebbline] ${withoutBrowser}`);

const steps: Step[] = [
  { name: 'Chromium', ok: withoutBrowser === null, seconds: 0 },
  await runStep('lint', [tool('@biomejs/biome/bin/biome'), 'check', '--error-on-warnings']),
  await buildPage(),
  await runStep('types', ['workers/tasks/types.ts']),
  await runStep('tests', [tool('vitest/vitest.mjs'), 'run', '--config', 'tests/vitest.config.ts', ...process.argv.slice(2)], {
    EBBLINE_TEST_SUMMARY: SUMMARY,
  }),
];

console.log(summaryLines(steps, readTestSummary(SUMMARY)).join('\n'));
process.exitCode = steps.every(({ ok }) => ok) ? 0 : 1;
