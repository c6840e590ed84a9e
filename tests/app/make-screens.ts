/**
 * Makes docs/screens/*.png, the pictures of the README: the program as served, with the demo case, in Chromium at 1280 px, and pages of a
 * report as pdftoppm draws them.
 * The faces are drawn by the program itself; no photograph of a person is shown.
 *
 * Run as   node tests/app/make-screens.ts
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import type { Page } from 'playwright-core';
import sharp from 'sharp';
import { buildPage } from '#workers/tasks/page-build.ts';
import { openBrowser, ROOT } from './harness.ts';
import { screenCase } from './screen-case.ts';

const WIDTH = 1280;
const HEIGHT = 900;
const MOST_BYTES = 250_000;
const MEASURED_WITHIN_MS = 240_000;

const dataDir = await mkdtemp(join(tmpdir(), 'ebbline-screens-'));
const built = await buildPage();
if (!built.ok) throw new Error('The page could not be built.');
const program = spawn(process.execPath, ['workers/cli.ts', 'serve', '--data', dataDir], {
  cwd: ROOT,
  stdio: ['ignore', 'pipe', 'inherit'],
});
const browser = await openBrowser();
try {
  const { base, demo } = await addresses(program);
  const page = await (await browser.newContext({ viewport: { width: WIDTH, height: HEIGHT } })).newPage();
  page.setDefaultTimeout(60_000);

  await page.goto(demo);
  await page.getByText('Zones, strongest evidence first').waitFor({ timeout: MEASURED_WITHIN_MS });
  await page.getByText('Loading').first().waitFor({ state: 'detached' });
  await page.locator('button[data-zone="midface-left"]').focus();
  await keep(page, 'result');

  await page.locator('button[data-zone="midface-left"]').press('Enter');
  const figure = page.locator('figure', { has: page.locator('svg.evidence') });
  await figure.evaluate((element) => element.scrollIntoView({ block: 'center' }));
  await keep(page, 'evidence');

  await page.locator('button[data-zone="midface-left"]').press('Enter');
  await page.getByLabel('Turnable surface').check();
  await page.locator('canvas[data-ready=true]').waitFor();
  for (let i = 0; i < 2; i++) await page.getByRole('button', { name: 'Turn to the left' }).click();
  await page.evaluate(() => window.scrollTo(0, 0));
  await keep(page, 'surface');

  await page.goto(base);
  for (const role of ['before', 'after'])
    await page.locator(`section[data-side=${role}] input[type=file]`).setInputFiles(join(ROOT, `demo-images/${role}-frontal.jpg`));
  await page.getByText('Will be measured: frontal.').waitFor({ timeout: MEASURED_WITHIN_MS });
  await page.locator('svg[aria-label*="outlines that were found"]').nth(1).waitFor();
  await keep(page, 'bench');

  await screenCase(page, base, (name, picture) => keep(page, name, picture));
} finally {
  await browser.close();
  const exit = once(program, 'exit');
  program.kill('SIGINT');
  await exit;
  await rm(dataDir, { recursive: true, force: true });
}

/** What the program prints when it is ready. */
async function addresses(child: ChildProcess): Promise<{ base: string; demo: string }> {
  let base = '';
  for await (const line of createInterface({ input: child.stdout! })) {
    base = /^Ebbline is at (http:\S+)/.exec(line)?.[1] ?? base;
    const demo = /^Demo case (http:\S+)/.exec(line)?.[1];
    if (demo) return { base, demo };
  }
  throw new Error('The program ended before it told its address.');
}

/** The window as it stands, or the picture given, with as many colours as fit. */
async function keep(page: Page, name: string, picture?: Buffer): Promise<void> {
  await page.waitForTimeout(800); // pictures and legends settle
  const shot = picture ?? (await page.screenshot());
  for (const colours of [256, 192, 128, 96, 64]) {
    const png = await sharp(shot).png({ palette: true, colours, effort: 10, dither: 0.6 }).toBuffer();
    if (png.length > MOST_BYTES) continue;
    await mkdir(join(ROOT, 'docs/screens'), { recursive: true });
    await writeFile(join(ROOT, `docs/screens/${name}.png`), png);
    console.log(`docs/screens/${name}.png  ${png.length} bytes, ${colours} colours`);
    return;
  }
  throw new Error(`${name}.png cannot be made small enough`);
}
