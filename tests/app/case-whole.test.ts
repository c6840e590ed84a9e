/**
 * A reversal from the first photographs to its course, with the program as it is served and the real measurement: an invented face at
 * baseline, day 4 and day 16 is taken in at once, judged, sorted, compared and read over time.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildPage } from '#workers/tasks/page-build.ts';
import { CASE_DAYS, caseFiles, TREATED_ON } from './fixtures/case-photos.ts';
import { barriers, openBrowser, ROOT } from './harness.ts';

/** Checks of three photographs and comparisons of two pairs, on two shared cores. */
const MEASURED_WITHIN_MS = 150_000;

let web: ChildProcess;
let runner: ChildProcess;
let browser: Browser;
let dataDir: string;
let base: string;

/** The page and the runner without the demo case, whose measurement would come first. */
beforeAll(async () => {
  const built = await buildPage();
  if (!built.ok) throw new Error('The page could not be built.');
  dataDir = await mkdtemp(join(tmpdir(), 'ebbline-case-'));
  const env = { ...process.env, EBBLINE_HOME: dataDir };
  web = spawn(process.execPath, ['workers/web.ts', '--port', '0'], { cwd: ROOT, env, stdio: ['ignore', 'pipe', 'inherit', 'ipc'] });
  const [message] = (await once(web, 'message')) as [{ listening?: number }];
  base = `http://127.0.0.1:${message.listening}`;
  runner = spawn(process.execPath, ['workers/runner.ts', '--data', dataDir], {
    cwd: ROOT,
    env,
    stdio: ['ignore', 'pipe', 'inherit', 'ipc'],
  });
  browser = await openBrowser();
});
afterAll(async () => {
  await browser?.close();
  for (const child of [runner, web]) {
    if (!child || child.exitCode !== null) continue;
    const exit = once(child, 'exit');
    child.kill('SIGTERM');
    await exit;
  }
  if (dataDir) await rm(dataDir, { recursive: true, force: true });
});

describe('a reversal in both midfaces', () => {
  it('is taken in, compared with its baseline, and seen to come back', { timeout: 2 * MEASURED_WITHIN_MS }, async () => {
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
    const page = await context.newPage();
    await page.goto(`${base}/cases`);
    await page.waitForLoadState('networkidle');
    await page.getByLabel('Code', { exact: true }).fill('REVERSAL-1');
    await page.getByLabel('that photographs are kept and measured').check();
    await page.getByRole('button', { name: 'Begin the case' }).click();
    await page.waitForURL(/import$/);
    await page.locator('div[aria-busy=false]').first().waitFor();
    await page.setInputFiles('input[data-import=files]', await caseFiles());
    await page.getByText('3 photographs of 3 days.').waitFor({ timeout: MEASURED_WITHIN_MS });
    expect(await page.locator('section h2.number').allTextContents()).toEqual(CASE_DAYS.map(({ on }) => on));
    await page.getByRole('button', { name: 'Put into the case' }).click();
    await page.waitForURL(/\/cases\/[0-9a-f]{32}$/);

    await page.getByRole('link', { name: 'Record a treatment' }).click();
    await page.waitForURL(/treatments\/new$/);
    await page.waitForLoadState('networkidle');
    await page.getByLabel('Day').fill(TREATED_ON);
    await page.getByLabel('Midface, left').check();
    await page.getByLabel('Midface, right').check();
    await page.getByLabel('Gel dissolved with enzyme').check();
    await page.getByLabel('The amounts are known').check();
    await page.getByLabel('USP units in the vial').fill('150');
    await page.getByLabel('Dissolved in').fill('1');
    await page.getByLabel('marks of a syringe').check();
    await page.getByLabel('Marks', { exact: true }).fill('10');
    await page.getByRole('button', { name: 'Save the treatment' }).click();
    await page.waitForURL(/\/treatments$/);

    await page.goto(page.url().replace(/treatments$/, 'course'));
    await page.waitForLoadState('networkidle');
    await page.getByRole('button', { name: 'Measure all missing' }).click();
    await page.locator('tr', { hasText: '2026-03-06' }).getByText('mL', { exact: false }).first().waitFor({ timeout: MEASURED_WITHIN_MS });
    await page.locator('tr', { hasText: '2026-03-18' }).getByText('mL', { exact: false }).first().waitFor({ timeout: MEASURED_WITHIN_MS });
    expect(await page.locator('h1').textContent()).toMatch(/^Midface, (left|right): course$/);
    const volume = async (on: string) =>
      Number(
        /([+−])(\d\.\d\d)/
          .exec((await page.locator('tr', { hasText: on }).locator('td').nth(1).textContent()) ?? '')
          ?.slice(1)
          .join('')
          .replace('−', '-'),
      );
    const [early, late] = [await volume('2026-03-06'), await volume('2026-03-18')];
    // Planted, in each midface: about -1.4 mL on day 4 and -0.8 mL on day 16 lie inside its border.
    expect(early).toBeLessThan(-0.5);
    expect(late).toBeGreaterThan(early);
    expect(await page.locator('tr', { hasText: '2026-03-06' }).textContent()).toContain('Early: water loss is expected.');
    await expect.poll(() => page.locator('ul image').count()).toBe(3);
    await page.getByText('A recovery curve needs at least 3 measured follow-ups after the treatment; there are 2.').first().waitFor();
    expect(await barriers(page)).toEqual([]);
    if (process.env['EBBLINE_SHOW']) await page.screenshot({ path: join(tmpdir(), 'ebbline-course.png'), fullPage: true });
    await context.close();
  });
});
