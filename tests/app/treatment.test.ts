/** Treatments and settings in the browser: sums while one types, hints with their marks, reviews due, two windows, the audit. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { caseInRecord } from './fixtures/case-in-record.ts';
import { type App, barriers, openApp, overflowPx, smallTargets, strangers } from './harness.ts';

let app: App;
beforeAll(async () => {
  app = await openApp();
});
afterAll(() => app?.close());

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
const plain = async (page: Page, selector: string) => (await page.locator(selector).textContent())!.replaceAll('\u00a0', ' ');

describe('a treatment', () => {
  it('is entered with marks and units kept apart, with hints and reviews due, and found in the list', async () => {
    const { caseId, book } = await caseInRecord(app, { code: 'T-1', shade: 0.2, treatedOn: '2026-11-16' });
    const page = await app.page();
    await page.goto(`${app.base}/cases/${caseId}/treatments/new`);
    await page.waitForLoadState('networkidle');
    await page.getByRole('button', { name: 'Save the treatment' }).click();
    expect(await page.getByRole('alert').first().textContent()).toMatch(
      /Choose at least one zone.*The units of the vial must be a number above 0/,
    );

    await page.getByLabel('Day').fill('2026-11-18');
    await page.locator('path[data-zone=midface-left]').click();
    expect(await page.getByLabel('Midface, left').isChecked()).toBe(true);
    const hint = page.getByRole('list', { name: 'Expected in the zones chosen' });
    expect(await hint.textContent()).toMatch(/Midface left.*Much hyaluronic acid of its own.*common practice, no published source/);
    expect(await page.getByText(/Midface left: enzyme was given on 2026-11-16/).textContent()).toMatch(/first review is on 2026-11-20/);

    await page.getByLabel('USP units in the vial').fill('150');
    await page.getByLabel('Dissolved in').fill('1');
    await page.getByLabel('marks of a syringe').check();
    await page.getByLabel('Marks', { exact: true }).fill('10');
    await page.getByLabel('Mixed with').fill('0,2');
    const sums = '[aria-label="Units delivered"]';
    expect(await plain(page, sums)).toMatch(
      /15 USP units delivered in 10 marks of a U-100 syringe \(0\.10 mL\).*150 USP units per mL × 0\.10 mL = 15 USP units.*0\.10 mL \+ 0\.20 mL = 0\.30 mL.*A syringe mark is not an enzyme unit/,
    );
    await page.getByLabel('Marks', { exact: true }).fill('150');
    expect(await plain(page, sums)).toMatch(/Were units entered as marks\?/);
    await page.getByLabel('Marks', { exact: true }).fill('10');
    expect(await page.getByText(/Midface left: .* after 2 passes/).textContent()).toContain('4 to 16 %');
    await seen(page, 'treatment-new');

    await page.getByRole('button', { name: 'Save the treatment' }).click();
    await page.waitForURL(/\/treatments$/);
    expect(await page.locator('ol li').first().textContent()).toMatch(/2026-11-18.*Gel dissolved with enzyme.*Midface left/);
    await seen(page, 'treatment-list');
    expect((await book.caseFile(caseId))!.treatments.at(-1)).toMatchObject({
      on: '2026-11-18',
      zones: ['midface-left'],
      enzyme: { vialUnits: 150, dissolvedInMl: 1, amount: { kind: 'marks', marks: 10, marksPerMl: 100 }, mixedWithMl: 0.2 },
      pass: null,
    });
    await page.context().close();
  });

  it('that two windows edit tells the later one, who loses nothing typed', async () => {
    const { caseId, book } = await caseInRecord(app, { code: 'T-2', shade: 0.3, treatedOn: '2026-11-16' });
    const { id } = (await book.caseFile(caseId))!.treatments[0]!;
    const note = async () => (await book.caseFile(caseId))!.treatments[0]!.note;
    const [first, second] = [await app.page(), await app.page()];
    for (const page of [first, second]) {
      await page.goto(`${app.base}/cases/${caseId}/treatments/${id}`);
      await page.waitForLoadState('networkidle');
    }
    await first.getByRole('textbox', { name: 'Note' }).fill('from the first window');
    await first.getByRole('button', { name: 'Save the treatment' }).click();
    await first.waitForURL(/\/treatments$/);
    await second.getByRole('textbox', { name: 'Note' }).fill('from the second window');
    await second.getByRole('button', { name: 'Save the treatment' }).click();
    await second.getByText('This was changed in another window meanwhile.').waitFor();
    expect(await second.locator('tr', { hasText: 'from the first window' }).textContent()).toBe(
      'Notefrom the second windowfrom the first window',
    );
    expect(await note()).toBe('from the first window');
    expect(await second.getByRole('textbox', { name: 'Note' }).inputValue()).toBe('from the second window');
    await second.getByRole('button', { name: 'Load the other version' }).click();
    expect(await second.getByRole('textbox', { name: 'Note' }).inputValue()).toBe('from the first window');
    await second.getByRole('textbox', { name: 'Note' }).fill('both');
    await second.getByRole('button', { name: 'Save the treatment' }).click();
    await second.waitForURL(/\/treatments$/);
    expect(await note()).toBe('both');

    await first.goto(`${app.base}/cases/${caseId}/treatments/${id}`);
    await first.waitForLoadState('networkidle');
    await second.goto(`${app.base}/cases/${caseId}/treatments/${id}`);
    await second.waitForLoadState('networkidle');
    await first.getByRole('textbox', { name: 'Note' }).fill('first again');
    await first.getByRole('button', { name: 'Save the treatment' }).click();
    await first.waitForURL(/\/treatments$/);
    await second.getByRole('textbox', { name: 'Note' }).fill('second stands');
    await second.getByRole('button', { name: 'Save the treatment' }).click();
    await second.getByRole('button', { name: 'Save what I typed' }).click();
    await second.waitForURL(/\/treatments$/);
    expect(await note()).toBe('second stands');

    await second.goto(`${app.base}/cases/${caseId}/treatments/${id}`);
    await second.waitForLoadState('networkidle');
    await second.getByRole('button', { name: 'Remove this treatment' }).click();
    await second.getByRole('button', { name: 'Remove for good' }).click();
    await second.waitForURL(/\/treatments$/);
    expect((await book.caseFile(caseId))!.treatments).toEqual([]);
    await first.context().close();
    await second.context().close();
  });
});

describe('settings', () => {
  it('are edited, mark what is the practice\u2019s own, and go back to the usual', async () => {
    const page = await app.page();
    await page.goto(`${app.base}/settings`);
    await page.waitForLoadState('networkidle');
    await page.getByLabel('Name').fill('Practice by the river');
    await page.getByLabel('First review').fill('5');
    await page.getByLabel('Text').first().fill('Look twice here.');
    expect(await page.getByLabel('Shown as').first().inputValue()).toBe('practice');
    await seen(page, 'settings');
    await page.getByRole('button', { name: 'Save the settings' }).click();
    await page.getByText('Saved.').waitFor();
    const book = app.record.casesAs('test');
    expect(await book.settings()).toMatchObject({
      practiceName: 'Practice by the river',
      facts: { firstReviewDay: 5, removedPerPass: [0.6, 0.8] },
      hints: [{ text: 'Look twice here.', source: 'practice' }, { source: 'common-practice' }, {}, {}],
    });
    await page.reload();
    await page.waitForLoadState('networkidle');
    expect(await page.getByLabel('First review').inputValue()).toBe('5');
    await page.getByRole('button', { name: 'Back to the usual facts and hints' }).click();
    await page.getByLabel('Name').fill('');
    await page.getByRole('button', { name: 'Save the settings' }).click();
    await page.getByText('Saved.').waitFor();
    expect(await book.settings()).toMatchObject({ practiceName: '', facts: { firstReviewDay: 4 }, revision: 2 });
    await page.context().close();
  });

  it('lead to the audit, whose chain holds', async () => {
    const page = await app.page();
    await page.goto(`${app.base}/settings`);
    await page.getByRole('link', { name: 'See the audit' }).click();
    await page.getByText(/The chain of \d+ lines holds/).waitFor();
    expect(await page.locator('tbody tr').first().textContent()).toMatch(/changed.*settings/);
    await seen(page, 'audit');
    await page.context().close();
  });
});

describe('privacy', () => {
  it('reached nothing but its own address, and broke no content policy', () => {
    expect([...strangers(app), ...app.complaints]).toEqual([]);
  });
});
