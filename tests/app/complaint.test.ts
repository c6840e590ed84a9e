/** A complaint from opening to conclusion with the keyboard alone; what its pages hide until then; and its barriers. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { TOKEN_HEADER } from '#shared/request-headers.ts';
import { WITHHELD_WORDS } from '#shared/withheld.ts';
import { placeOutline, ZONE_OUTLINES } from '#shared/zone-outlines.ts';
import { type CaseInRecord, caseInRecord, comparedVisits, must } from './fixtures/case-in-record.ts';
import { HEIGHT, LANDMARKS_PX, WIDTH } from './fixtures/scene.ts';
import { type App, barriers, openApp, overflowPx, smallTargets, strangers, tokenOf } from './harness.ts';
import { tabTo } from './keys.ts';

let app: App;
beforeAll(async () => {
  app = await openApp({ stepMs: 120 });
});
afterAll(() => app?.close());

/** What no answer may hold before the measurement is revealed: names of findings and metrics, and the sentences made of them. */
const MEASURED =
  /beyond-error|within-error|beyond error|within error|volumeMl|lightnessDelta|ci95|"sdc"|pHolm|changed by more than error|not-assessable/;

const COURSE_FOUND = /beyond error|within error|detectable from/;

/** Every page, page part and JSON answer that the browser is sent, whole, before it gets there. A body that can't be read fails the request. */
async function listening(page: Page): Promise<string[]> {
  const bodies: string[] = [];
  await page.route(/.*/, async (route) => {
    const request = route.request();
    // News of jobs comes as a stream that does not end; checks are all that is asked for before the rating.
    if (!['document', 'fetch', 'xhr'].includes(request.resourceType()) || request.url().includes('/api/jobs/events'))
      return route.continue();
    const response = await route.fetch({ maxRedirects: 0 });
    if (/html|json|x-component/.test(response.headers()['content-type'] ?? '')) bodies.push(await response.text());
    return route.fulfill({ response });
  });
  return bodies;
}

async function seen(page: Page, name: string): Promise<void> {
  for (const colorScheme of ['dark', 'light'] as const) {
    await page.emulateMedia({ colorScheme });
    expect(await barriers(page)).toEqual([]);
  }
  expect(await smallTargets(page)).toEqual([]);
  const folder = process.env['EBBLINE_SCREENS'];
  for (const width of [390, 1280]) {
    await page.setViewportSize({ width, height: 900 });
    expect(await overflowPx(page)).toBeLessThanOrEqual(0);
    if (folder) await page.screenshot({ path: `${folder}/${name}-${width}.png`, fullPage: true });
  }
}

describe('by keyboard alone', () => {
  it('is opened, heard, rated, answered and concluded, and shows nothing measured before the rating', async () => {
    const own = await caseInRecord(app, { code: 'K-1', treatedOn: '2026-11-16' });
    const page = await app.page();
    const sent = await listening(page);

    await page.goto(`${app.base}/cases/${own.caseId}/complaints/new`);
    await page.waitForLoadState('networkidle');
    await seen(page, 'complaint-open');
    await pressOn(page, 'button.main');
    await page.waitForURL(/\/complaints\/[0-9a-f]{32}$/);

    await page.getByRole('button', { name: /put a mark/ }).waitFor();
    await tabTo(page, 'textarea');
    await page.keyboard.type('I look hollow. That is not my face.');
    await tabTo(page, 'input[name=severity]');
    for (let i = 0; i < 7; i++) await page.keyboard.press('ArrowRight');
    await tabTo(page, 'select');
    await page.keyboard.type('Every');
    await tabTo(page, 'button[class*=markButton]');
    await crossTo(page, centreOf('midface-left'));
    await page.keyboard.press('Enter');
    expect(await page.getByRole('list', { name: 'Marks on the photograph' }).textContent()).toContain('Midface, left');
    expect(await page.locator('input[name=midface-left]').isChecked()).toBe(true);
    await tabTo(page, 'input[name=jawline-right]');
    await page.keyboard.press('Space');
    await tabTo(page, 'input[name=callsMe]');
    await page.keyboard.press('ArrowDown');
    await seen(page, 'complaint-hear');
    await pressOn(page, 'button.main');

    await page.getByText('Zones the patient named').waitFor();
    await tabTo(page, 'select[data-zone=midface-left]');
    await page.keyboard.type('slightly less');
    await tabTo(page, 'select[data-zone=jawline-right]');
    await page.keyboard.type('cannot');
    await tabTo(page, 'input[autocomplete=name]');
    await page.keyboard.type('E. Examiner');
    await seen(page, 'complaint-rate');
    await pressOn(page, 'button.main');

    await page.getByRole('button', { name: 'Show the measurement' }).waitFor();
    await seen(page, 'complaint-reveal');
    expect(sent.filter((body) => MEASURED.test(body))).toEqual([]);
    expect(sent.length).toBeGreaterThan(5);
    await pressOn(page, 'button.main');

    await page.getByRole('heading', { name: 'What can be said' }).waitFor();
    expect(sent.some((body) => MEASURED.test(body))).toBe(true); // so that the silence before was one
    const midface = page.locator('tr[data-zone=midface-left]');
    expect(await midface.textContent()).toMatch(/points here.*slightly less full.*loss.*beyond error.*detectable from.*agree/);
    expect(await page.locator('tr[data-zone=jawline-right]').textContent()).toMatch(/cannot be judged.*turned towards the camera/);
    expect(await page.getByText(/4 days after a treatment/).textContent()).toMatch(
      /this is early.*from 2026-11-30 on \(common practice, no published source\)/,
    );
    expect(await page.locator('main').textContent()).not.toMatch(/\bno change\b/i);
    await seen(page, 'complaint-answer');

    await tabTo(page, 'input[name=wait]');
    await page.keyboard.press('Space');
    await tabTo(page, 'input[name=discuss]');
    await page.keyboard.press('Space');
    await tabTo(page, 'input[type=date]');
    await tabTo(page, 'button[type=button]');
    await page.keyboard.press('Enter');
    await pressOn(page, 'button.main');
    await page.getByRole('heading', { name: 'Concluded', exact: true }).waitFor();
    expect(await page.getByText('Review on 2026-11-30.').count()).toBe(1);
    await tabTo(page, 'textarea');
    await page.keyboard.type('She called: a little better.');
    await pressOn(page, 'form button[type=submit]');
    await page.getByRole('listitem').filter({ hasText: 'She called: a little better.' }).waitFor();
    await seen(page, 'complaint-concluded');

    const kept = (await own.book.caseFile(own.caseId))!.complaints[0]!;
    expect(kept).toMatchObject({
      stage: 'concluded',
      patient: {
        part: {
          severity: 7,
          howOften: 'every-day',
          zones: ['midface-left', 'jawline-right'],
          marksOn: own.after.photos[0]!.sha256,
          callsMe: own.before.photos[0]!.sha256,
        },
      },
      examiner: { part: { grades: { 'midface-left': 'slightly-less', 'jawline-right': 'cannot-say' } } },
      conclusion: { part: { steps: ['wait', 'discuss'], reviewOn: '2026-11-30' } },
    });
    const times = [kept.openedAt, kept.patient!.at, kept.examiner!.at, kept.revealed!.at, kept.conclusion!.at];
    expect(times).toEqual(times.toSorted());
    await page.context().close();
  });
});

describe('what stays hidden', () => {
  let own: CaseInRecord;
  let comparison: string;
  let complaint: string;
  beforeAll(async () => {
    own = await caseInRecord(app, { code: 'H-1', shade: 0.1 });
    comparison = await comparedVisits(app, own);
    complaint = must(
      await own.book.openComplaint(own.caseId, { on: '2026-11-21', beforeVisit: own.before.id, afterVisit: own.after.id }),
    ).id;
  });
  const get = async (path: string) => {
    const response = await fetch(`${app.base}${path}`);
    return { status: response.status, body: await response.text() };
  };
  const post = async (part: string, body: unknown) =>
    fetch(`${app.base}/api/cases/${own.caseId}/complaints/${complaint}/${part}`, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json', Origin: app.base, [TOKEN_HEADER]: await tokenOf(app.base) },
      body: JSON.stringify(body),
    });

  it('the comparison, its files and its line in every list, until it is revealed', async () => {
    for (const path of [
      `/comparison/${comparison}`,
      `/api/comparisons/${comparison}/comparison.json`,
      `/api/comparisons/${comparison}/files/table.csv`,
      `/api/comparisons/${comparison}/files/frontal.change-map.png`,
      `/cases/${own.caseId}/complaints/${complaint}`,
      `/api/cases/${own.caseId}/complaints/${complaint}`,
      `/cases/${own.caseId}/complaints`,
      `/cases/${own.caseId}`,
    ]) {
      const { body } = await get(path);
      expect(MEASURED.test(body.replaceAll(/<script[^>]*src[^>]*>/g, '')), path).toBe(false);
    }
    expect((await get(`/api/comparisons/${comparison}/files/table.csv`)).status).toBe(409);
    expect((await get(`/comparison/${comparison}`)).body).toContain(WITHHELD_WORDS.slice(0, 40));
    expect((await get('/')).body).not.toContain(comparison);
  });
  /** The pages of the stage it has reached, with a comparison in the record all the while. */
  const silent = async () => {
    for (const path of [`/cases/${own.caseId}/complaints/${complaint}`, `/cases/${own.caseId}`, '/cases'])
      expect(MEASURED.test((await get(path)).body), path).toBe(false);
    // The page of a course names its metrics whether or not there is anything to show.
    expect((await get(`/cases/${own.caseId}/course`)).body).not.toMatch(COURSE_FOUND);
  };
  it('parts out of their order are refused, and a part recorded is not changed', async () => {
    expect((await post('reveal', { revision: 1 })).status).toBe(409);
    expect((await post('rate', { revision: 1, part: { examiner: 'E', grades: {}, note: '' } })).status).toBe(409);
    const part = { words: 'Flat.', severity: 3, howOften: 'seldom', zones: ['chin'], marks: [], callsMe: null };
    expect((await post('hear', { revision: 1, part })).status).toBe(200);
    await silent();
    expect((await post('hear', { revision: 2, part: { ...part, words: 'Other words.' } })).status).toBe(409);
    expect((await post('rate', { revision: 2, part: { examiner: 'E', grades: {}, note: '' } })).status).toBe(422);
    expect((await post('rate', { revision: 1, part: { examiner: 'E', grades: { chin: 'cannot-say' }, note: '' } })).status).toBe(409);
    expect((await post('rate', { revision: 2, part: { examiner: 'E', grades: { chin: 'cannot-say' }, note: '' } })).status).toBe(200);
    await silent();
    expect((await get(`/api/comparisons/${comparison}/comparison.json`)).status).toBe(409);
    expect((await post('conclude', { revision: 3, part: { steps: ['discuss'], reviewOn: null, note: '' } })).status).toBe(409);
    expect((await post('reveal', { revision: 3 })).status).toBe(200);
    expect((await get(`/api/comparisons/${comparison}/comparison.json`)).status).toBe(200);
    expect((await get('/')).body).toContain(comparison);
    expect((await get(`/cases/${own.caseId}/course`)).body).toMatch(COURSE_FOUND);
    for (const path of [`/comparison/${comparison}`, `/cases/${own.caseId}/complaints/${complaint}`])
      expect(MEASURED.test((await get(path)).body), path).toBe(true);
  });
});

describe('privacy', () => {
  it('reached nothing but its own address, and broke no content policy', () => {
    expect([...strangers(app), ...app.complaints]).toEqual([]);
  });
});

async function pressOn(page: Page, wanted: string): Promise<void> {
  await tabTo(page, wanted);
  await page.keyboard.press('Enter');
}

function centreOf(zone: keyof typeof ZONE_OUTLINES): { x: number; y: number } {
  const loop = placeOutline(ZONE_OUTLINES[zone], LANDMARKS_PX, 2);
  let [x, y] = [0, 0];
  for (let i = 0; i < loop.length; i += 2) {
    x += (2 * loop[i]!) / loop.length / WIDTH;
    y += (2 * loop[i + 1]!) / loop.length / HEIGHT;
  }
  return { x, y };
}

/** The cross begins in the middle; a step is a hundredth of the width both ways. */
async function crossTo(page: Page, { x, y }: { x: number; y: number }): Promise<void> {
  const across = Math.round((x - 0.5) / 0.01);
  const down = Math.round(((y - 0.5) * HEIGHT) / WIDTH / 0.01);
  for (let i = 0; i < Math.abs(across); i++) await page.keyboard.press(across > 0 ? 'ArrowRight' : 'ArrowLeft');
  for (let i = 0; i < Math.abs(down); i++) await page.keyboard.press(down > 0 ? 'ArrowDown' : 'ArrowUp');
}
