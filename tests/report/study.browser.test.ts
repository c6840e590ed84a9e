/** The study report in a browser: no barriers, nothing asked of anyone, nothing wider than a narrow screen. */
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { AxeBuilder } from '@axe-core/playwright';
import { type Browser, chromium } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { studyHtml } from '#lib/report/study/study-html.ts';
import { gatherStudy } from '#lib/series/study-data.ts';
import { studyStatistics } from '#lib/series/study-statistics.ts';
import { sampleStudy } from '#tests/series/sample-study.ts';

const HASH = 'c'.repeat(64);
let browser: Browser;
let folder: string;
let address: string;

beforeAll(async () => {
  const { pairs, rows, ratings } = sampleStudy();
  const gather = gatherStudy(pairs, ratings);
  rows.forEach((row, i) => void gather.add(row, i + 1));
  const study = studyStatistics(gather.done(), {
    title: 'A made-up study',
    day: null,
    madeFrom: { resultsSha256: HASH, pairsSha256: HASH, ratingsSha256: HASH },
    options: { seed: 1, perSubject: 'last', untrusted: 'left-out', against: null, covariate: null, alpha: 0.05 },
  });
  if (!study.ok) throw new Error(study.detail);
  folder = await mkdtemp(join(tmpdir(), 'ebbline-study-'));
  const path = join(folder, 'study.html');
  await writeFile(path, studyHtml(study.value));
  address = pathToFileURL(path).href;
  browser = await chromium.launch({
    executablePath: process.env['EBBLINE_CHROMIUM'] ?? '/usr/bin/chromium',
    args: ['--headless', '--no-sandbox', '--disable-gpu'],
  });
});
afterAll(async () => {
  await browser?.close();
  await rm(folder, { recursive: true, force: true });
});

describe('law', () => {
  it.each([1280, 390])('no barrier, no request and no sideways scrolling at %i px', async (width) => {
    // The page's own policy allows no script; the checker needs one.
    const context = await browser.newContext({ viewport: { width, height: 900 }, bypassCSP: true });
    const page = await context.newPage();
    const asked: string[] = [];
    page.on('request', (request) => asked.push(request.url()));
    await page.goto(address);
    expect(asked).toEqual([address]);
    // What is on the page does not depend on its width, and the check is slow.
    const { violations } = width > 1000 ? await new AxeBuilder({ page }).analyze() : { violations: [] };
    expect(violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html.slice(0, 120)}`)).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
    await context.close();
  });
});
