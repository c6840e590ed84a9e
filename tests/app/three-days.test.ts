/**
 * A practice moves its record to another machine by backup and restore, locks it, and finds everything there; and a case that is open in two
 * tabs of one browser: the later one is told, whatever of the case it edits, and nothing is removed at a slip of the hand.
 */
import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { TOKEN_HEADER } from '#shared/request-headers.ts';
import { type CaseInRecord, caseInRecord, comparedVisits, must } from './fixtures/case-in-record.ts';
import { type App, barriers, openApp, overflowPx, ROOT, strangers, tokenOf } from './harness.ts';

const ARCHIVE_PASSPHRASE = 'a phrase for the archive';
const PRACTICE_PASSPHRASE = 'a phrase of the practice';

let app: App;
beforeAll(async () => {
  app = await openApp({ stepMs: 10 });
});
afterAll(async () => app?.close());

describe('a practice that moves to another machine', () => {
  let folder: string;
  let program: ChildProcess | undefined;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'ebbline-move-'));
  });
  afterAll(async () => {
    if (program && program.exitCode === null) {
      const exit = once(program, 'exit');
      program.kill('SIGINT');
      await exit;
    }
    if (folder) await rm(folder, { recursive: true, force: true });
  });

  it('finds its cases, photographs, results, the complaint, its signed report and its audit, behind a passphrase', async () => {
    const own = await caseInRecord(app, { code: 'MOVING-1', treatedOn: '2026-11-16' });
    const comparison = await comparedVisits(app, own);
    const complaint = await concluded(own, comparison);
    const report = await signedReport(own.caseId, complaint);
    const before = await bytesAt(`${app.base}${report}`);
    const head = (await ebbline('audit', 'verify', '--data', app.dataDir)).out;

    const archive = join(folder, 'practice.tar');
    const next = join(folder, 'new machine');
    const [archivePhrase, ownPhrase] = [join(folder, 'archive'), join(folder, 'own')];
    await writeFile(archivePhrase, `${ARCHIVE_PASSPHRASE}\n`, { mode: 0o600 });
    await writeFile(ownPhrase, `${PRACTICE_PASSPHRASE}\n`, { mode: 0o600 });
    expect(await ebbline('backup', archive, '--data', app.dataDir, '--passphrase-file', archivePhrase)).toMatchObject({ exit: 0 });
    expect(await ebbline('restore', archive, '--data', next, '--passphrase-file', ownPhrase)).toMatchObject({ exit: 4 });
    expect(await ebbline('restore', archive, '--data', next, '--passphrase-file', archivePhrase)).toMatchObject({ exit: 0 });
    expect(await ebbline('vault', 'passphrase', '--data', next, '--new-passphrase-file', ownPhrase)).toMatchObject({ exit: 0 });
    const refused = await ebbline('serve', '--data', next, '--passphrase-file', archivePhrase);
    expect(refused).toMatchObject({ exit: 4, err: expect.stringMatching(/passphrase/) });

    program = spawn(process.execPath, ['workers/cli.ts', 'serve', '--data', next, '--passphrase-file', ownPhrase], {
      cwd: ROOT,
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    const base = await addressOf(program);
    const page = await app.page();
    await page.goto(`${base}/cases`);
    await page.getByRole('link', { name: 'MOVING-1' }).click();
    await page.waitForURL(/\/cases\/[0-9a-f]{32}$/);
    await expect.poll(() => loadedPictures(page)).toBe(2);
    await page.getByText('Concluded; 1 report, 1 signed').waitFor();
    await sound(page);
    await page.getByRole('link', { name: /^2026-09-01 \(baseline/ }).click();
    await page.getByText('Zones, strongest evidence first').waitFor();
    await page.goto(`${base}/cases/${own.caseId}/complaints/${complaint}`);
    await page.getByRole('heading', { name: 'What can be said' }).waitFor();
    await page.getByText('I look hollow.').waitFor();
    await page.goto(`${base}/cases/${own.caseId}/reports`);
    await page.getByText(/signed by Dr Ada Example/).waitFor();
    expect(Buffer.compare(await bytesAt(`${base}${report}`), before)).toBe(0);
    await page.goto(`${base}/settings`);
    await page.getByText('locked with your passphrase').waitFor();
    await page.getByRole('link', { name: 'See the audit' }).click();
    await page.getByText(/The chain of \d+ lines holds, and the head kept beside it agrees/).waitFor();
    const kept = /\d+:[0-9a-f]{64}/.exec(head)?.[0];
    expect(kept).toBeDefined();
    expect(
      await ebbline('audit', 'verify', '--data', next, '--passphrase-file', ownPhrase, '--head', kept!),
      'the lines that were there before the move are the ones noted down there',
    ).toMatchObject({ exit: 0 });
    // What is added from now on is added to the new record.
    await page.goto(`${base}/cases/${own.caseId}/complaints/${complaint}`);
    await page.waitForLoadState('networkidle');
    await page.getByLabel('Add to this complaint').fill('Seen after the move.');
    await page.getByRole('button', { name: 'Add', exact: true }).click();
    await page.getByRole('listitem').filter({ hasText: 'Seen after the move.' }).waitFor();
    expect((await app.record.casesAs('test').caseFile(own.caseId))!.complaints[0]!.additions).toEqual([]);
    await page.context().close();
  });
});

describe('one case in two tabs of one browser', () => {
  let own: CaseInRecord;
  beforeAll(async () => {
    own = await caseInRecord(app, { code: 'TABS-1', shade: 0.3 });
  });
  const twoTabs = async (path: string): Promise<[Page, Page]> => {
    const first = await app.page();
    const second = await first.context().newPage();
    for (const page of [first, second]) {
      await page.goto(`${app.base}${path}`);
      await page.waitForLoadState('networkidle');
    }
    return [first, second];
  };

  it('tells the later one about a visit, and takes nothing out of the case at one click', async () => {
    const [first, second] = await twoTabs(`/cases/${own.caseId}`);
    const newest = (page: Page) => page.locator('section', { has: page.getByRole('heading', { name: '2026-11-20' }) }).last();
    for (const page of [first, second]) await newest(page).getByText('Day, label and note').click();
    await newest(first).getByLabel('Label').fill('second review');
    await newest(first).getByRole('button', { name: 'Save the visit' }).click();
    await first.getByRole('heading', { name: /2026-11-20.*second review/ }).waitFor();
    await newest(second).getByLabel('Label').fill('third review');
    await newest(second).getByRole('button', { name: 'Save the visit' }).click();
    await second.getByText('This was changed in another window meanwhile.').waitFor();
    expect(await second.locator('tr', { hasText: 'Label' }).textContent()).toBe('Labelthird reviewsecond review');
    await second.getByRole('button', { name: 'Load the other version' }).click();
    await second.getByRole('heading', { name: /2026-11-20.*second review/ }).waitFor();

    await newest(second)
      .getByRole('button', { name: /^Remove the visit with its photographs/ })
      .click();
    await newest(second)
      .getByRole('button', { name: /^Remove them for good/ })
      .and(second.locator(':focus'))
      .waitFor();
    await second.keyboard.press('Tab');
    await second.keyboard.press('Enter');
    await newest(second)
      .getByRole('button', { name: /^Remove the visit with its photographs/ })
      .and(second.locator(':focus'))
      .waitFor();
    expect((await own.book.caseFile(own.caseId))!.visits.map(({ label, photos }) => [label, photos.length])).toEqual([
      ['', 1],
      ['second review', 1],
    ]);
    await first.context().close();
  });

  it('tells the later one that the patient was heard already, and shows what was recorded', async () => {
    const { id } = must(
      await own.book.openComplaint(own.caseId, { on: '2026-11-24', beforeVisit: own.before.id, afterVisit: own.after.id }),
    );
    const [first, second] = await twoTabs(`/cases/${own.caseId}/complaints/${id}`);
    for (const [page, words] of [
      [first, 'Flat since the summer.'],
      [second, 'Something else.'],
    ] as const) {
      await page.locator('button.main').click();
      await page.getByText('Still missing: their own words, how much it troubles them, how often.').waitFor();
      await page.getByLabel('own words').fill(words);
      expect(await page.getByText('Still missing').count()).toBe(0);
      await page.locator('input[name=severity]').nth(4).check();
      await page.getByLabel('How often').selectOption('seldom');
    }
    await first.locator('button.main').click();
    await first.getByRole('button', { name: 'Record the rating' }).waitFor();
    await second.locator('button.main').click();
    await second.getByRole('button', { name: 'Show this complaint as it is now' }).click();
    await second.getByText('Flat since the summer.').waitFor();
    expect((await own.book.caseFile(own.caseId))!.complaints[0]!.patient!.part.words).toBe('Flat since the summer.');
    await first.context().close();
  });

  it('tells the later one about the settings, field by field', async () => {
    const [first, second] = await twoTabs('/settings');
    await first.getByLabel('First review').fill('5');
    await first.getByRole('button', { name: 'Save the settings' }).click();
    await first.getByText('Saved.').waitFor();
    await second.getByLabel('Next review').fill('6');
    await second.getByRole('button', { name: 'Save the settings' }).click();
    await second.getByText('This was changed in another window meanwhile.').waitFor();
    expect(await second.getByRole('alert').locator('tbody tr').allTextContents()).toEqual([
      'First review, days after the treatment45',
      'Next review, days later64',
    ]);
    expect(await barriers(second)).toEqual([]);
    await second.getByRole('button', { name: 'Save what I typed' }).click();
    await second.getByText('Saved.').waitFor();
    expect((await own.book.settings()).facts).toMatchObject({ firstReviewDay: 4, reviewEveryDays: 6 });
    await first.context().close();
  });
});

describe('privacy', () => {
  it('reached nothing but addresses of this machine, and broke no content policy', () => {
    expect(strangers(app).filter((address) => !address.startsWith('http://127.0.0.1:'))).toEqual([]);
    expect(app.complaints).toEqual([]);
  });
});

/** Heard, rated, revealed and concluded by code; its id. */
async function concluded({ caseId, before, after, book }: CaseInRecord, comparison: string): Promise<string> {
  const { id, revision } = must(await book.openComplaint(caseId, { on: '2026-11-24', beforeVisit: before.id, afterVisit: after.id }));
  const heard = must(
    await book.hear(id, revision, {
      words: 'I look hollow.',
      severity: 7,
      howOften: 'every-day',
      zones: ['midface-left'],
      marks: [],
      callsMe: null,
    }),
  );
  const rated = must(await book.rate(id, heard.revision, { examiner: 'E', grades: { 'midface-left': 'slightly-less' }, note: '' }));
  const shown = must(await book.reveal(id, rated.revision, comparison));
  must(await book.conclude(id, shown.revision, { steps: ['discuss'], reviewOn: null, note: '' }));
  return id;
}

/** The address of the file of a complaint's signed report, from the root of the program. */
async function signedReport(caseId: string, complaint: string): Promise<string> {
  const address = `/api/cases/${caseId}/reports`;
  const { id } = await posted(address, { kind: 'complaint', about: complaint, withName: false });
  await posted(`${address}/${id}/sign`, { by: 'Dr Ada Example', read: true });
  return `${address}/${id}`;
}

async function posted(address: string, body: unknown): Promise<{ id: string }> {
  const response = await fetch(`${app.base}${address}`, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json', [TOKEN_HEADER]: await tokenOf(app.base), Origin: app.base },
    body: JSON.stringify(body),
  });
  if (!response.ok) throw new Error(`${address}: ${await response.text()}`);
  return (await response.json()) as { id: string };
}

async function bytesAt(address: string): Promise<Buffer> {
  const response = await fetch(address);
  expect(response.status).toBe(200);
  return Buffer.from(await response.arrayBuffer());
}

/** One command line in a process of its own. */
function ebbline(...args: string[]): Promise<{ exit: number; out: string; err: string }> {
  return new Promise((resolve) => {
    const child = execFile(process.execPath, ['workers/cli.ts', ...args], { cwd: ROOT }, (_error, out, err) =>
      resolve({ exit: child.exitCode ?? -1, out, err }),
    );
  });
}

async function addressOf(child: ChildProcess): Promise<string> {
  for await (const line of createInterface({ input: child.stdout! })) {
    const base = /^Ebbline is at (http:\S+)/.exec(line)?.[1];
    if (base) return base;
  }
  throw new Error('The program ended before it told its address.');
}

/** Pictures of photographs that have come. */
const loadedPictures = (page: Page): Promise<number> =>
  page.evaluate(() => [...document.images].filter((image) => image.complete && image.naturalWidth > 0).length);

async function sound(page: Page): Promise<void> {
  expect(await barriers(page)).toEqual([]);
  for (const width of [390, 1280]) {
    await page.setViewportSize({ width, height: 900 });
    expect(await overflowPx(page)).toBeLessThanOrEqual(0);
  }
}
