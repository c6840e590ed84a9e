/**
 * The whole program as `npm start` serves it, with the real measurement, in a browser, by keyboard: the demo case is
 * opened, its frontal photographs are chosen by hand, checked, measured and read.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { comparisonSchema } from '#shared/comparison.ts';
import { buildPage } from '#workers/tasks/page-build.ts';
import { barriers, openBrowser, ROOT } from './harness.ts';
import { awake, chooseByKey } from './keys.ts';

/** A demo case of three views and a pair of one view, on two shared cores. */
const MEASURED_WITHIN_MS = 150_000;

let program: ChildProcess;
let browser: Browser;
let dataDir: string;
let base: string;
let demo: string;
const asked: string[] = [];

beforeAll(async () => {
  const built = await buildPage();
  if (!built.ok) throw new Error('The page could not be built.');
  dataDir = await mkdtemp(join(tmpdir(), 'ebbline-whole-'));
  program = spawn(process.execPath, ['workers/cli.ts', 'serve', '--data', dataDir], { cwd: ROOT, stdio: ['ignore', 'pipe', 'inherit'] });
  ({ base, demo } = await addresses(program));
  browser = await openBrowser();
});
afterAll(async () => {
  await browser?.close();
  if (program && program.exitCode === null) {
    const exit = once(program, 'exit');
    program.kill('SIGINT');
    await exit;
  }
  if (dataDir) await rm(dataDir, { recursive: true, force: true });
});

/** What the program prints when it is ready. */
async function addresses(child: ChildProcess): Promise<{ base: string; demo: string }> {
  let found = '';
  for await (const line of createInterface({ input: child.stdout! })) {
    found = /^Ebbline is at (http:\S+)/.exec(line)?.[1] ?? found;
    const shown = /^Demo case (http:\S+)/.exec(line)?.[1];
    if (shown) return { base: found, demo: shown };
  }
  throw new Error('The program ended before it told its address.');
}

async function open(address: string): Promise<Page> {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  context.on('request', (request) => asked.push(request.url()));
  const page = await context.newPage();
  page.on('filechooser', () => undefined); // the browser hands choosers over only once someone has asked for them
  await page.goto(address);
  return page;
}

describe('the main job', () => {
  it('shows the demo case, with the losses it was drawn with found', { timeout: MEASURED_WITHIN_MS + 30_000 }, async () => {
    const page = await open(demo);
    await page.getByText('Zones, strongest evidence first').waitFor({ timeout: MEASURED_WITHIN_MS });
    const comparison = comparisonSchema.parse(
      await (await fetch(`${base}/api/comparisons/${demo.split('/').at(-1)}/comparison.json`)).json(),
    );
    const beyond = comparison.zones.filter((zone) => zone.finding === 'beyond-error').map((zone) => zone.zone);
    expect(beyond).toEqual(expect.arrayContaining(['midface-left', 'midface-right']));
    expect(comparison.control.trusted).toBe(true);
    expect(await page.locator('h1').textContent()).toMatch(/Midface left \(loss/);
    expect(await barriers(page)).toEqual([]);
    await page.context().close();
  });

  it('measures two photographs chosen by keyboard', { timeout: MEASURED_WITHIN_MS + 60_000 }, async () => {
    const page = await open(base);
    await awake(page);
    await chooseByKey(page, 'before', ['demo-images/before-frontal.jpg']);
    await chooseByKey(page, 'after', ['demo-images/after-frontal.jpg']);
    await page.getByText('Will be measured: frontal.').waitFor({ timeout: 60_000 });
    expect(await page.locator('svg[aria-label*="outlines that were found"]').count()).toBe(2);
    await page.getByRole('button', { name: 'Measure' }).focus();
    await page.keyboard.press('Enter');
    await page.waitForURL(/\/comparison\/[0-9a-f]{32}$/, { timeout: MEASURED_WITHIN_MS });
    expect(await page.locator('h1').textContent()).toMatch(/Midface/);
    expect(await page.locator('tr', { hasText: 'Midface, left' }).first().textContent()).toMatch(/−\d\.\d\d\smL.*loss/);
    await page.context().close();
  });

  it('reaches nothing but its own address', () => {
    expect(asked.length).toBeGreaterThan(20);
    expect(
      asked.filter((address) => !address.startsWith(`${base}/`) && !address.startsWith('blob:') && !address.startsWith('data:')),
    ).toEqual([]);
  });
});
