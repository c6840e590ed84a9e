/**
 * The invented reversal walked through the page for the README's pictures: the case, the course of a zone, the answer to a complaint, and two
 * pages of the signed comparison report, which pdftoppm draws.
 */
import { execFileSync } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import sharp from 'sharp';
import { pageWords } from '#tests/report/pdf/pdf-reader.ts';
import { CASE_DAYS, caseFiles, LATER_DAYS, TREATED_ON } from './fixtures/case-photos.ts';

const MEASURED_WITHIN_MS = 240_000;
const DAYS = [...CASE_DAYS, ...LATER_DAYS];
const COMPLAINED_ON = '2026-05-02';

/** `keep` takes the window as it stands, or the picture given. */
export async function screenCase(page: Page, base: string, keep: (name: string, picture?: Buffer) => Promise<void>): Promise<void> {
  const address = await begun(page, base);
  // First, so that nothing was seen before the examiner rated.
  await answered(page, address);
  await page.getByRole('heading', { name: 'What can be said' }).evaluate((element) => element.scrollIntoView());
  await page.evaluate(() => window.scrollBy(0, -16));
  await keep('complaint');

  await page.goto(`${address}/course`);
  await page.waitForLoadState('networkidle');
  await page.getByLabel('Zone').waitFor();
  const all = page.getByRole('button', { name: 'Measure all missing' });
  if (await all.isVisible()) await all.click();
  for (const { on } of DAYS.slice(1))
    await page.locator('tr', { hasText: on }).getByText('mL', { exact: false }).first().waitFor({ timeout: MEASURED_WITHIN_MS });
  await page.getByLabel('Zone').selectOption({ label: 'Midface, left' });
  await page.getByRole('heading', { name: 'Midface, left: course' }).waitFor();
  await tall(page, 1210);
  await keep('course');

  await page.goto(address);
  await page
    .getByText('Measured by Ebbline')
    .nth(DAYS.length - 2)
    .waitFor();
  await tall(page, 1560);
  await keep('case');
  await tall(page, 900);

  const report = await signedReport(page, address);
  await keep('report', await pagesOf(report, ['Zones, strongest evidence first', 'Where it changed']));
}

async function begun(page: Page, base: string): Promise<string> {
  await page.goto(`${base}/cases`);
  await page.waitForLoadState('networkidle');
  await page.getByLabel('Code', { exact: true }).fill('2026-014');
  await page.getByLabel('that photographs are kept and measured').check();
  await page.getByLabel('Given on').fill(DAYS[0]!.on);
  await page.getByRole('button', { name: 'Begin the case' }).click();
  await page.waitForURL(/import$/);
  await page.locator('div[aria-busy=false]').first().waitFor();
  await page.setInputFiles('input[data-import=files]', await caseFiles(DAYS));
  await page.getByText(`${DAYS.length} photographs of ${DAYS.length} days.`).waitFor({ timeout: MEASURED_WITHIN_MS });
  await page.getByRole('button', { name: 'Put into the case' }).click();
  await page.waitForURL(/\/cases\/[0-9a-f]{32}$/);
  const address = page.url();
  await page.getByRole('link', { name: 'Record a treatment' }).click();
  await page.waitForURL(/treatments\/new$/);
  await page.waitForLoadState('networkidle');
  await page.getByLabel('Day').fill(TREATED_ON);
  for (const zone of ['Midface, left', 'Midface, right']) await page.getByLabel(zone).check();
  await page.getByLabel('USP units in the vial').fill('150');
  await page.getByLabel('Dissolved in').fill('1');
  await page.getByLabel('marks of a syringe').check();
  await page.getByLabel('Marks', { exact: true }).fill('10');
  await page.getByRole('button', { name: 'Save the treatment' }).click();
  await page.waitForURL(/\/treatments$/);
  return address;
}

/** The bytes of the report of the first pair, signed. */
async function signedReport(page: Page, address: string): Promise<Uint8Array> {
  await page.goto(`${address}/reports`);
  await page.waitForLoadState('networkidle');
  const sheet = page.locator('section.sheet', { hasText: 'compared with 2026-03-06' });
  await sheet.getByRole('button', { name: /Comparison report/ }).click();
  await sheet.getByRole('link', { name: /^Sign Comparison report/ }).click();
  await page.getByLabel(/I have read this draft/).check();
  await page.getByLabel(/Your name/).fill('Dr Ada Example');
  await page.getByRole('button', { name: 'Sign and lock' }).click();
  await page.getByText('Signed and locked').waitFor();
  const file = await page.getByRole('link', { name: 'Open the PDF' }).getAttribute('href');
  const response = await page.request.get(new URL(file!, page.url()).href);
  return new Uint8Array(await response.body());
}

/** The pages that hold these words, side by side. */
async function pagesOf(pdf: Uint8Array, words: readonly string[]): Promise<Buffer> {
  const folder = await mkdtemp(join(tmpdir(), 'ebbline-report-'));
  try {
    await writeFile(join(folder, 'report.pdf'), pdf);
    const texts = pageWords(pdf);
    const pages = words.map((text) => {
      const at = texts.findIndex((one) => one.includes(text)) + 1;
      if (at === 0) throw new Error(`no page of the report says "${text}"`);
      const stem = join(folder, `page-${at}`);
      execFileSync('pdftoppm', ['-png', '-r', '84', '-singlefile', '-f', String(at), '-l', String(at), join(folder, 'report.pdf'), stem]);
      return `${stem}.png`;
    });
    const { width, height } = await sharp(pages[0]!).metadata();
    const gap = 16;
    return await sharp({
      create: { width: pages.length * (width + gap) + gap, height: height + 2 * gap, channels: 3, background: '#d8d2c7' },
    })
      .composite(
        await Promise.all(pages.map(async (file, i) => ({ input: await readFile(file), left: gap + i * (width + gap), top: gap }))),
      )
      .png()
      .toBuffer();
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

const tall = (page: Page, height: number): Promise<void> => page.setViewportSize({ width: 1280, height });

/** A complaint about the second follow-up, up to its answer. */
async function answered(page: Page, address: string): Promise<void> {
  await page.goto(`${address}/complaints/new`);
  await page.waitForLoadState('networkidle');
  await page.getByLabel('Day of the complaint').fill(COMPLAINED_ON);
  await page.locator('button.main').click();
  await page.waitForURL(/complaints\/[0-9a-f]{32}$/);
  await page.getByRole('button', { name: /put a mark/ }).waitFor();
  await page.locator('textarea').first().fill('I look flat and tired, and I cannot say where.');
  await page.locator('input[name=severity]').nth(6).check();
  await page.locator('select').first().selectOption('every-day');
  for (const zone of ['midface-left', 'midface-right', 'submalar-left']) await page.locator(`input[name=${zone}]`).check();
  await page.locator('button.main').click();
  await page.getByText('Zones the patient named').waitFor();
  for (const [zone, grade] of [
    ['midface-left', 'slightly-less'],
    ['midface-right', 'no-difference'],
    ['submalar-left', 'cannot-say'],
  ] as const)
    await page.locator(`select[data-zone=${zone}]`).selectOption(grade);
  await page.locator('input[autocomplete=name]').fill('E. Examiner');
  await page.locator('button.main').click();
  await page.getByRole('button', { name: 'Show the measurement' }).click();
  await page.getByRole('heading', { name: 'What can be said' }).waitFor({ timeout: MEASURED_WITHIN_MS });
}
