/** What the test runner wrote of its run, and the lines that end `npm test`. */
import { readFileSync } from 'node:fs';
import type { Step } from './step.ts';

export type TestSummary = Readonly<{ passed: number; failed: number; skipped: number; files: number; brokenFiles: number }>;

type RunnerFile = Readonly<{ status: string; assertionResults: readonly Readonly<{ status: string }>[] }>;

/** Null when there is none, as when the runner died. `file` is the runner's JSON report. */
export function readTestSummary(file: string): TestSummary | null {
  try {
    return summaryOf(JSON.parse(readFileSync(file, 'utf8')).testResults);
  } catch {
    return null;
  }
}

/** A file that failed without a failed test of its own could not be run at all; each counts as one failure. */
export function summaryOf(files: readonly RunnerFile[]): TestSummary {
  const tests = files.flatMap((file) => file.assertionResults);
  const count = (...statuses: string[]) => tests.filter(({ status }) => statuses.includes(status)).length;
  const brokenFiles = files.filter(
    (file) => file.status === 'failed' && !file.assertionResults.some(({ status }) => status === 'failed'),
  ).length;
  return {
    passed: count('passed'),
    failed: count('failed'),
    skipped: count('skipped', 'pending', 'todo', 'disabled'),
    files: files.length,
    brokenFiles,
  };
}

/** The last line stands alone for machines: every step other than the tests counts as one check. */
export function summaryLines(steps: readonly Step[], tests: TestSummary | null): string[] {
  const checks = steps.filter(({ name }) => name !== 'tests');
  const failedChecks = checks.filter(({ ok }) => !ok).length;
  const ran = tests !== null && tests.files > 0;
  const failed = failedChecks + (ran ? tests.failed + tests.brokenFiles : 1);
  const passed = checks.length - failedChecks + (ran ? tests.passed : 0);
  return [
    '',
    ...steps.map(
      ({ name, ok, seconds }) => `[ebbline] ${ok ? 'ok    ' : 'FAILED'} ${name}${seconds > 0 ? `, ${seconds.toFixed(0)} s` : ''}`,
    ),
    ran ? `[ebbline] ${tests.files} test files, ${tests.skipped} tests skipped` : '[ebbline] the tests did not run to their end',
    `${passed} passed, ${failed} failed`,
  ];
}
