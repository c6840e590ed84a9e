/** Reports of a case in the browser: draft, reading, signing by keyboard, versions, what is refused, and the files themselves. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { TOKEN_HEADER } from '#shared/request-headers.ts';
import { WITHHELD_WORDS } from '#shared/withheld.ts';
import { hasReaders, infoOf, pageWords } from '#tests/report/pdf/pdf-reader.ts';
import { type CaseInRecord, caseInRecord, comparedVisits, must } from './fixtures/case-in-record.ts';
import { type App, barriers, measured, openApp, overflowPx, smallTargets, strangers, tokenOf } from './harness.ts';
import { tabTo } from './keys.ts';

let app: App;
beforeAll(async () => {
  app = await openApp();
});
afterAll(() => app?.close());

async function seen(page: Page, name: string): Promise<void> {
  expect(await barriers(page)).toEqual([]);
  expect(await smallTargets(page)).toEqual([]);
  const folder = process.env['EBBLINE_SCREENS'];
  for (const width of [390, 1280]) {
    await page.setViewportSize({ width, height: 900 });
    expect(await overflowPx(page)).toBeLessThanOrEqual(0);
    if (folder) await page.screenshot({ path: `${folder}/${name}-${width}.png`, fullPage: true });
  }
}

async function fetched(address: string): Promise<{ status: number; type: string; disposition: string; bytes: Uint8Array }> {
  const response = await fetch(`${app.base}${address}`);
  return {
    status: response.status,
    type: response.headers.get('content-type') ?? '',
    disposition: response.headers.get('content-disposition') ?? '',
    bytes: new Uint8Array(await response.arrayBuffer()),
  };
}

async function post(
  address: string,
  body: unknown,
): Promise<{
  status: number;
  body: { id: string; version: number; state: string; sha256: string; error: { code: string; message: string } };
}> {
  const response = await fetch(`${app.base}${address}`, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json', [TOKEN_HEADER]: await tokenOf(app.base), Origin: app.base },
    body: JSON.stringify(body),
  });
  return { status: response.status, body: (await response.json()) as never };
}

const startsAsPdf = (bytes: Uint8Array): boolean => Buffer.from(bytes.subarray(0, 8)).toString('latin1').startsWith('%PDF-1.7');

/** Heard, rated and revealed by code. */
async function answeredComplaint(
  { caseId, before, after, book }: CaseInRecord,
  comparison: string,
): Promise<{ id: string; revision: number }> {
  const opened = must(await book.openComplaint(caseId, { on: '2026-11-24', beforeVisit: before.id, afterVisit: after.id }));
  const heard = must(
    await book.hear(opened.id, opened.revision, {
      words: 'I look hollow. \u0396\u03c9\u03ae says so too.',
      severity: 7,
      howOften: 'every-day',
      zones: ['midface-left'],
      marks: [{ x: 0.6, y: 0.5 }],
      callsMe: before.photos[0]!.sha256,
    }),
  );
  const rated = must(
    await book.rate(opened.id, heard.revision, { examiner: 'Dr Ada Example', grades: { 'midface-left': 'slightly-less' }, note: '' }),
  );
  return must(await book.reveal(opened.id, rated.revision, comparison));
}

describe('a comparison of a case', () => {
  it('is drafted, read and signed with the keyboard alone, and its next version names the one it replaces', async () => {
    const own = await caseInRecord(app, { code: 'R-1', shade: 0.1 });
    const comparison = await comparedVisits(app, own);
    const page = await app.page();
    await page.goto(`${app.base}/cases/${own.caseId}/reports`);
    await page.waitForLoadState('networkidle');
    await seen(page, 'reports-none');

    await tabTo(page, 'section button');
    await page.keyboard.press('Enter');
    await page.getByText('the draft of version 1 is made').waitFor();
    await page.getByText('not signed').first().waitFor();
    await seen(page, 'reports-draft');
    await tabTo(page, 'a[aria-label="Sign Comparison report, version 1"]');
    await page.keyboard.press('Enter');
    await page.waitForURL(/\/reports\/[0-9a-f]{32}$/);
    await page.waitForLoadState('networkidle');
    await seen(page, 'report-to-sign');

    const address = (await page.getByRole('link', { name: 'Open the PDF' }).getAttribute('href'))!;
    const draft = await fetched(address);
    expect([draft.status, draft.type, draft.disposition]).toEqual([
      200,
      'application/pdf',
      'inline; filename="R-1-comparison-1-draft.pdf"',
    ]);
    expect(startsAsPdf(draft.bytes)).toBe(true);

    await tabTo(page, 'input[type=checkbox]');
    await page.keyboard.press('Space');
    await tabTo(page, 'input[autocomplete=name]');
    await page.keyboard.type('Dr Ada Example');
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Signed and locked' }).waitFor();
    await seen(page, 'report-signed');

    const signed = await fetched(address);
    expect(signed.disposition).toBe('inline; filename="R-1-comparison-1.pdf"');
    const kept = (await own.book.caseFile(own.caseId))!.reports[0]!;
    expect(kept).toMatchObject({ version: 1, state: 'signed', about: comparison, bytes: signed.bytes.length });
    if (hasReaders) {
      for (const words of pageWords(draft.bytes)) expect(words).toContain('Draft, not signed');
      for (const words of pageWords(signed.bytes)) expect(words).toContain('by Dr Ada Example');
      expect(infoOf(signed.bytes)).toMatchObject({ Tagged: 'yes', Title: 'Comparison report: case R-1, version 1' });
    }

    const next = await post(`/api/cases/${own.caseId}/reports`, { kind: 'comparison', about: comparison, withName: false });
    expect([next.status, next.body.version, next.body.state]).toEqual([201, 2, 'draft']);
    const second = await fetched(`/api/cases/${own.caseId}/reports/${next.body.id}`);
    if (hasReaders) expect(pageWords(second.bytes).join(' ').replaceAll(' ', '')).toContain(kept.sha256);
    expect((await fetched(address)).bytes).toEqual(signed.bytes);
    await page.goto(`${app.base}/cases/${own.caseId}/reports`);
    await page.getByText('signed by Dr Ada Example').waitFor();
    await seen(page, 'reports-versions');
    expect(app.complaints).toEqual([]);
    expect(strangers(app)).toEqual([]);
  });

  it('is the same draft when nothing changed, and is not signed when something did, or without a name', async () => {
    const own = await caseInRecord(app, { code: 'R-2', shade: 0.2 });
    const about = await comparedVisits(app, own);
    const first = await post(`/api/cases/${own.caseId}/reports`, { kind: 'comparison', about, withName: false });
    const again = await post(`/api/cases/${own.caseId}/reports`, { kind: 'comparison', about, withName: false });
    expect(again.body.sha256).toBe(first.body.sha256);
    const sign = (id: string, body: object) => post(`/api/cases/${own.caseId}/reports/${id}/sign`, body);
    expect((await sign(again.body.id, { by: '  ', read: true })).status).toBe(422);
    expect((await sign(again.body.id, { by: 'A', read: false })).status).toBe(422);
    expect((await sign(first.body.id, { by: 'A', read: true })).status).toBe(404);

    must(
      await own.book.addTreatment(own.caseId, {
        on: '2026-10-01',
        zones: ['chin'],
        purpose: 'energy-device',
        productClass: null,
        volumeMl: null,
        enzyme: null,
        pass: null,
        note: '',
      }),
    );
    const refused = await sign(again.body.id, { by: 'A', read: true });
    expect([refused.status, refused.body.error.code]).toEqual([409, 'changed-meanwhile']);
    const anew = await post(`/api/cases/${own.caseId}/reports`, { kind: 'comparison', about, withName: false });
    expect((await sign(anew.body.id, { by: 'A', read: true })).status).toBe(200);
    expect((await sign(anew.body.id, { by: 'B', read: true })).body.error.code).toBe('locked');
  });

  it('is hidden with its reports while a complaint about it is heard', async () => {
    const own = await caseInRecord(app, { code: 'R-3', shade: 0.3 });
    const about = await comparedVisits(app, own);
    const made = await post(`/api/cases/${own.caseId}/reports`, { kind: 'comparison', about, withName: false });
    must(await own.book.openComplaint(own.caseId, { on: '2026-11-24', beforeVisit: own.before.id, afterVisit: own.after.id }));
    const address = `/api/cases/${own.caseId}/reports`;
    expect((await fetched(`${address}/${made.body.id}`)).status).toBe(409);
    for (const kind of ['comparison', 'patient-sheet'])
      expect((await post(address, { kind, about, withName: false })).body.error.code).toBe('out-of-order');
    const page = await app.page();
    for (const path of [`/cases/${own.caseId}/reports`, `/cases/${own.caseId}/reports/${made.body.id}`]) {
      await page.goto(app.base + path);
      await page.getByText(WITHHELD_WORDS).first().waitFor();
      expect(await page.locator('a[href$=".pdf"], a[href*="/api/cases"]').count()).toBe(0);
    }
    await seen(page, 'report-withheld');
  });
});

describe('a complaint', () => {
  it('is reported once answered, signed once concluded, and gives the patient a sheet', async () => {
    const own = await caseInRecord(app, { code: 'R-4', shade: 0.4, treatedOn: '2026-11-16' });
    const comparison = await comparedVisits(app, own);
    const address = `/api/cases/${own.caseId}/reports`;
    const complaint = await answeredComplaint(own, comparison);
    const early = await post(address, { kind: 'complaint', about: complaint.id, withName: false });
    expect(early.status).toBe(201);
    expect((await post(`${address}/${early.body.id}/sign`, { by: 'A', read: true })).body.error.code).toBe('out-of-order');
    must(await own.book.conclude(complaint.id, complaint.revision, { steps: ['discuss'], reviewOn: '2026-12-01', note: '' }));
    const made = await post(address, { kind: 'complaint', about: complaint.id, withName: false });
    expect((await post(`${address}/${made.body.id}/sign`, { by: 'Dr Ada Example', read: true })).status).toBe(200);
    const sheet = await post(address, { kind: 'patient-sheet', about: complaint.id, withName: false });
    const [report, page] = [await fetched(`${address}/${made.body.id}`), await fetched(`${address}/${sheet.body.id}`)];
    if (!hasReaders) return;
    const words = pageWords(report.bytes).join(' ');
    expect(words).toContain('I look hollow. \u0396\u03c9\u03ae says so too.');
    expect(words).toContain('The photograph they call \u201cme\u201d: 2026-09-01');
    expect(infoOf(page.bytes).Pages).toBe('1');
    expect(pageWords(page.bytes)[0]).toContain('Please come back on 1 December 2026.');
  });

  it('is not reported before it is answered', async () => {
    const own = await caseInRecord(app, { code: 'R-5', shade: 0.6 });
    const opened = must(
      await own.book.openComplaint(own.caseId, { on: '2026-11-24', beforeVisit: own.before.id, afterVisit: own.after.id }),
    );
    const refused = await post(`/api/cases/${own.caseId}/reports`, { kind: 'complaint', about: opened.id, withName: false });
    expect([refused.status, refused.body.error.code]).toEqual([409, 'out-of-order']);
    expect((await post(`/api/cases/${own.caseId}/reports`, { kind: 'complaint', about: 'f'.repeat(32), withName: false })).status).toBe(
      404,
    );
  });
});

describe('a comparison without a case', () => {
  it('has its report as a PDF on its page, as a draft', async () => {
    const id = await measured(app, 'Bench & <one>');
    const page = await app.page();
    await page.goto(`${app.base}/comparison/${id}`);
    const href = (await page.getByRole('link', { name: 'Report (PDF)' }).getAttribute('href'))!;
    const pdf = await fetched(href);
    expect([pdf.status, pdf.type]).toEqual([200, 'application/pdf']);
    expect(pdf.disposition).toMatch(/^attachment; filename="ebbline-[0-9a-f]{8}-report\.pdf"$/);
    if (hasReaders) expect(infoOf(pdf.bytes)).toMatchObject({ Title: 'Comparison report: Bench & <one> (draft)', Tagged: 'yes' });
  });
});
