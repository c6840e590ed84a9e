/** The pages of a case in a browser: begun, filled, compared, read over time; two windows that edit the same; every page by axe. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { type App, barriers, faceFile, openApp, overflowPx, smallTargets, strangers } from './harness.ts';
import { tabTo } from './keys.ts';

let app: App;
const DAYS = ['2026-03-01', '2026-03-05', '2026-03-09', '2026-03-17'];

beforeAll(async () => {
  app = await openApp({ stepMs: 10 });
});
afterAll(async () => app?.close());

const woken = (page: Page) => page.locator('div[aria-busy=false]').first().waitFor();

async function begun(page: Page, code: string): Promise<string> {
  await page.goto(`${app.base}/cases`);
  if (!(await page.getByLabel('Code', { exact: true }).isVisible())) await page.getByText('New case').click();
  await page.getByLabel('Code', { exact: true }).fill(code);
  await page.getByLabel('that photographs are kept and measured').check();
  await page.getByRole('button', { name: 'Begin the case' }).click();
  await page.waitForURL(/\/cases\/[0-9a-f]{32}\/import$/);
  await woken(page);
  return page.url().split('/').at(-2)!;
}

/** A case with two views on each of four days, and the gel dissolved on the first. */
async function filled(code: string): Promise<string> {
  const book = app.record.casesAs('tests');
  const made = await book.addCase({ code, name: 'Ada Example', birthYear: 1971, note: '' });
  if (!made.ok) throw new Error(made.detail);
  const { id } = made.value;
  await book.addConsent(id, { kind: 'photographs', givenOn: DAYS[0]!, note: '' });
  const days = [];
  for (const [i, on] of DAYS.entries()) {
    const photos = [];
    for (const view of ['frontal', 'oblique-left'] as const) {
      const { buffer } = await faceFile('', i / 5 + (view === 'frontal' ? 0 : 0.1) + 0.05);
      const stored = await app.record.addPhoto(new Uint8Array(buffer), `${on} ${view}.jpg`);
      if (!stored.ok) throw new Error(stored.detail);
      photos.push({ sha256: stored.value.sha256, name: `${on} ${view}.jpg`, view, takenAt: `${on}T10:00:00` });
    }
    days.push({ on, photos });
  }
  const put = await book.addPhotos(id, days);
  if (!put.ok) throw new Error(put.detail);
  const treated = await book.addTreatment(id, {
    on: DAYS[0]!,
    zones: ['midface-left', 'midface-right'],
    purpose: 'gel-dissolved',
    productClass: null,
    volumeMl: null,
    enzyme: null,
    pass: 1,
    note: '',
  });
  if (!treated.ok) throw new Error(treated.detail);
  return id;
}

/** Looked at wide and narrow: nothing serious for axe, nothing wider than the window, no control too small. */
async function sound(page: Page): Promise<void> {
  for (const width of [1280, 390]) {
    await page.setViewportSize({ width, height: 900 });
    expect(await barriers(page)).toEqual([]);
    expect(await overflowPx(page)).toBeLessThanOrEqual(0);
    expect(await smallTargets(page)).toEqual([]);
  }
  await page.setViewportSize({ width: 1280, height: 900 });
}

describe('photographs come into a case', () => {
  it('sorted by day and view, looked over by keyboard, and put in at once', async () => {
    const page = await app.page();
    const id = await begun(page, 'IMPORT-1');
    const first = await faceFile('2026-03-01 frontal.jpg', 0.1);
    await page.setInputFiles('input[data-import=files]', [
      first,
      { ...first, name: '2026-03-01 copy.jpg' },
      await faceFile('2026-03-01 oblique.jpg', 0.2),
      await faceFile('2026-03-05 frontal.jpg', 0.3),
      await faceFile('2026-03-05 second.jpg', 0.4),
      await faceFile('undated.jpg', 0.5),
      await faceFile('no-face.jpg', 0.6),
      { name: 'letter.txt', mimeType: 'text/plain', buffer: Buffer.from('no photograph') },
      { name: 'broken.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('no photograph either') },
    ]);
    await page.getByText('4 photographs of 2 days; 1 without a day wait in the tray; 2 left out.').waitFor();
    await page.getByText('The same file came twice, and is taken once: 2026-03-01 copy.jpg.').waitFor();
    await page.getByText('1 file that is no photograph was passed over.').waitFor();
    await sound(page);

    // The tray is emptied, a day corrected, and another photograph of the view chosen, all by keys.
    await tabTo(page, '#tray-day');
    await page.keyboard.type('03172026');
    await page.keyboard.press('Enter');
    await page.getByText('5 photographs of 3 days; 2 left out.').waitFor();
    await tabTo(page, 'button[id^=pick]');
    await page.keyboard.press('Enter');
    await page.getByText('as you chose').waitFor();
    const view = page.locator('section', { hasText: '2026-03-17' }).locator('select');
    await view.focus();
    await page.keyboard.press('ArrowDown');
    await page.getByLabel('View of undated.jpg').and(page.locator(':focus')).waitFor();
    await tabTo(page, 'section[aria-label="Put into the case"] button');
    await page.keyboard.press('Enter');
    await page.waitForURL(/\/cases\/[0-9a-f]{32}$/);

    const file = (await app.record.casesAs('tests').caseFile(id))!;
    expect(file.visits.map(({ on, baseline, photos }) => [on, baseline, photos.map((one) => [one.name, one.view, one.chosen])])).toEqual([
      [
        '2026-03-01',
        true,
        [
          ['2026-03-01 frontal.jpg', 'frontal', true],
          ['2026-03-01 oblique.jpg', 'oblique-left', true],
        ],
      ],
      [
        '2026-03-05',
        false,
        [
          ['2026-03-05 second.jpg', 'frontal', true],
          ['2026-03-05 frontal.jpg', 'frontal', false],
        ],
      ],
      ['2026-03-17', false, [['undated.jpg', 'oblique-left', true]]],
    ]);

    // The same folder once more adds nothing.
    await page.goto(`${app.base}/cases/${id}/import`);
    await woken(page);
    await page.setInputFiles('input[data-import=files]', [first]);
    await page.getByText('In the case already, and left where they are: 2026-03-01 frontal.jpg.').waitFor();
    await page.context().close();
  });

  it('wait in the tray when the page is left before they were put in', async () => {
    const page = await app.page();
    await begun(page, 'IMPORT-2');
    await page.setInputFiles('input[data-import=files]', [await faceFile('2026-03-02 a.jpg', 0.7), await faceFile('undated b.jpg', 0.8)]);
    await page.getByText('1 photograph of 1 day; 1 without a day wait in the tray.').waitFor();
    await page.getByLabel('Day of undated b.jpg').fill('2026-03-03');
    await page.getByLabel('Day of undated b.jpg').press('Enter');
    await page.getByText('2 photographs of 2 days.').waitFor();
    await page.reload();
    await page.getByText('2 photographs of 2 days.').waitFor();
    await page.context().close();
  });

  it('only with the consent of the patient', async () => {
    const made = await app.record.casesAs('tests').addCase({ code: 'NO-CONSENT', name: null, birthYear: null, note: '' });
    if (!made.ok) throw new Error(made.detail);
    const page = await app.page();
    await page.goto(`${app.base}/cases/${made.value.id}/import`);
    await page.getByText('No consent to photographs is recorded').waitFor();
    expect(await page.locator('input[type=file]').count()).toBe(0);
    await sound(page);
    await page.getByRole('button', { name: 'Record consent to photographs' }).click();
    await page.getByRole('button', { name: 'Choose a folder' }).waitFor();
    await page.context().close();
  });
});

describe('the case', () => {
  it('shows its visits and compares the baseline with the newest; an older result is measured anew', async () => {
    const id = await filled('OLDER-1');
    const page = await app.page();
    await page.goto(`${app.base}/cases/${id}`);
    await page.waitForLoadState('networkidle');
    expect(await page.title()).not.toContain('Ada');
    expect(await page.getByRole('heading', { name: /^2026-03/ }).allTextContents()).toEqual(
      expect.arrayContaining(['2026-03-17, day 16', '2026-03-01, day 0']),
    );
    await page.getByText('Will be measured: frontal; oblique, left cheek.').waitFor();
    await page.getByRole('button', { name: 'Compare', exact: true }).click();
    await page.getByText('Measured by Ebbline').waitFor({ timeout: 60_000 });
    await page.getByRole('link', { name: '2026-03-01 (baseline, day 0) to 2026-03-17 (day 16)' }).waitFor();
    await page.getByText('That is an older version.').waitFor();
    await sound(page);
    await page.getByRole('button', { name: 'Measure anew' }).click();
    await page.getByText(`Measured by Ebbline ${EBBLINE_VERSION}`).waitFor();

    await page.getByRole('link', { name: '2026-03-01 (baseline, day 0) to 2026-03-17 (day 16)' }).first().click();
    await page.waitForURL(/\/comparison\/[0-9a-f]{32}$/);
    await page.getByRole('navigation', { name: 'Where this page stands' }).getByRole('link', { name: 'OLDER-1' }).click();
    await page.waitForURL(/\/cases\/[0-9a-f]{32}$/);

    await page.getByRole('button', { name: /^Make it the baseline ?: 2026-03-05/ }).click();
    await page.getByRole('button', { name: /^Make it the baseline ?: 2026-03-01/ }).waitFor();
    await page.getByLabel('Before').selectOption({ label: '2026-03-09 (day 8)' });
    await page.getByLabel('After').selectOption({ label: '2026-03-01 (day 0)' });
    await page.getByText('The first of the two must be the earlier.').waitFor();
    await page.context().close();
  });

  it('has a course of each zone, which asks for what was not measured yet', async () => {
    const id = await filled('CASE-22');
    const page = await app.page();
    await page.goto(`${app.base}/cases/${id}/course`);
    await page.getByText('3 visits have not been compared with the baseline.').waitFor();
    await page.waitForLoadState('networkidle');
    await page.getByRole('button', { name: 'Measure all missing' }).click();
    await page.locator('tr', { hasText: '2026-03-17' }).getByText('beyond error', { exact: false }).first().waitFor();
    await expect.poll(() => page.locator('ul image').count()).toBe(4);
    expect(await page.locator('h1').textContent()).toBe('Midface, left: course');
    // The stand-in measures the same on every day, which is no recovery, and the page says so.
    await page.getByText('Volume: no curve. The follow-ups do not differ by more than their error').waitFor();
    await page.getByLabel('Zone').selectOption({ label: 'Chin' });
    await page.getByRole('heading', { name: 'Chin: course' }).waitFor();
    await sound(page);
    await page.context().close();
  });

  it('says when two windows edit the same, keeps what was typed, and lets either stand', async () => {
    const id = await filled('CASE-333');
    const [one, other] = [await app.page(), await app.page()];
    const open = async (page: Page) => {
      await page.goto(`${app.base}/cases/${id}`);
      await page.waitForLoadState('networkidle');
      await page.getByText('Code, name and note').click();
    };
    await open(one);
    await open(other);
    await one.getByRole('form', { name: 'The case' }).getByLabel('Note').fill('From the first window');
    await one.getByRole('button', { name: 'Save', exact: true }).click();
    await one.getByText('Saved.').waitFor();
    await other.getByRole('form', { name: 'The case' }).getByLabel('Note').fill('From the second window');
    await other.getByRole('button', { name: 'Save', exact: true }).click();
    await other.getByText('This was changed in another window meanwhile.').waitFor();
    expect(await other.getByRole('form', { name: 'The case' }).getByLabel('Note').inputValue()).toBe('From the second window');
    expect(await other.locator('tr', { hasText: 'Note' }).textContent()).toContain('From the first window');
    expect((await app.record.casesAs('tests').caseFile(id))!.patientCase.note).toBe('From the first window');
    expect(await barriers(other)).toEqual([]);
    await other.getByRole('button', { name: 'Save what I typed' }).click();
    await other.getByText('Saved.').waitFor();
    expect((await app.record.casesAs('tests').caseFile(id))!.patientCase.note).toBe('From the second window');
    await one.getByRole('form', { name: 'The case' }).getByLabel('Note').fill('Once more');
    await one.getByRole('button', { name: 'Save', exact: true }).click();
    await one.getByRole('button', { name: 'Load the other version' }).click();
    await expect.poll(() => one.getByRole('form', { name: 'The case' }).getByLabel('Note').inputValue()).toBe('From the second window');
    await one.context().close();
    await other.context().close();
  });

  it('is found by its code, and is erased when its code is typed', async () => {
    const id = await filled('TO-ERASE');
    const page = await app.page();
    await page.goto(`${app.base}/cases?code=to-er`);
    await page.getByRole('link', { name: 'TO-ERASE' }).waitFor();
    expect(await page.getByRole('link', { name: 'OLDER-1' }).count()).toBe(0);
    expect(await page.content()).not.toContain('Ada');
    await sound(page);
    await page.goto(`${app.base}/cases/${id}`);
    await page.getByText('Erase this case').click();
    await page.getByLabel('Type TO-ERASE to confirm').fill('TO-ERAS');
    await page.getByLabel('Type TO-ERASE to confirm').press('Enter');
    expect(await app.record.casesAs('tests').caseFile(id)).not.toBeNull();
    await page.getByLabel('Type TO-ERASE to confirm').fill('TO-ERASE');
    await page.getByRole('button', { name: 'Erase for good' }).click();
    await page.waitForURL(/\/cases$/);
    expect(await app.record.casesAs('tests').caseFile(id)).toBeNull();
    await page.context().close();
  });
});

describe('fast', () => {
  it('opens a case of 40 visits and 200 photographs in under 300 ms after the first time', async () => {
    const id = await crowded();
    const times: number[] = [];
    for (let i = 0; i < 12; i++) {
      const from = performance.now();
      const response = await fetch(`${app.base}/cases/${id}`);
      await response.text();
      expect(response.status).toBe(200);
      times.push(performance.now() - from);
    }
    if (process.env['EBBLINE_SHOW']) console.log(times.map(Math.round));
    expect(Math.min(...times.slice(1))).toBeLessThan(300);
  });
});

async function crowded(): Promise<string> {
  const book = app.record.casesAs('tests');
  const made = await book.addCase({ code: 'CROWDED', name: null, birthYear: null, note: '' });
  if (!made.ok) throw new Error(made.detail);
  await book.addConsent(made.value.id, { kind: 'photographs', givenOn: DAYS[0]!, note: '' });
  const views = ['frontal', 'oblique-left', 'oblique-right', 'lateral-left', 'lateral-right'] as const;
  const days = [];
  for (let visit = 0; visit < 40; visit++) {
    const on = new Date(Date.UTC(2026, 0, 1 + 7 * visit)).toISOString().slice(0, 10);
    const photos = [];
    for (const view of views) {
      const stored = await app.record.addPhoto(new TextEncoder().encode(`${on} ${view}`), `${on} ${view}.jpg`);
      if (!stored.ok) throw new Error(stored.detail);
      photos.push({ sha256: stored.value.sha256, name: `${on} ${view}.jpg`, view, takenAt: null });
    }
    days.push({ on, photos });
  }
  const put = await book.addPhotos(made.value.id, days);
  if (!put.ok) throw new Error(put.detail);
  return made.value.id;
}

describe('privacy', () => {
  it('reached nothing but its own address, and broke no content policy', () => {
    expect(app.asked.length).toBeGreaterThan(50);
    expect([...strangers(app), ...app.complaints]).toEqual([]);
  });
});
