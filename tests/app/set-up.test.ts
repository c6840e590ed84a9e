/** The bench offers the set-ups that were measured, and asks with the one that was chosen. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sampleSetUp } from '#tests/series/sample-set-up.ts';
import { type App, barriers, faceFile, openApp, overflowPx } from './harness.ts';
import { awake } from './keys.ts';

let app: App;
beforeAll(async () => {
  app = await openApp();
});
afterAll(() => app?.close());

describe('error limits', () => {
  it('without a set-up of one\u2019s own, the validation\u2019s stand in, and the page says how to get better ones', async () => {
    const page = await app.page();
    await page.goto(app.base);
    await awake(page);
    await page.getByText('Treated zones, days, scale and error limits').click();
    expect(await page.getByLabel('Error limits').locator('option').count()).toBe(1);
    expect(await page.getByText('ebbline repeat').isVisible()).toBe(true);
    await page.context().close();
  });

  it('a set-up is chosen by keyboard, shows in the head, and goes into the request', async () => {
    const setUp = await app.record.addSetUp(sampleSetUp());
    await app.record.addSetUp(sampleSetUp({ name: 'Attic' }));
    const page = await app.page();
    await page.goto(app.base);
    await awake(page);
    await page.setInputFiles('input[data-side=before]', [await faceFile('before-frontal.jpg', 0.31)]);
    await page.setInputFiles('input[data-side=after]', [await faceFile('after-frontal.jpg', 0.62)]);
    await page.getByText('Will be measured: frontal.').waitFor();
    const select = page.getByLabel('Error limits');
    expect(await select.locator('option').allTextContents()).toEqual([
      'of the program\u2019s validation',
      'of your set-up: Attic, 3 pairs of 3 people, 2026-11-20',
      'of your set-up: Room 2, 3 pairs of 3 people, 2026-11-20',
    ]);
    await select.focus();
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('ArrowDown');
    expect(await select.inputValue()).toBe(setUp);
    await page.getByText('error limits of your own set-up').waitFor();
    expect(await barriers(page)).toEqual([]);
    await page.getByRole('button', { name: 'Measure' }).click();
    await page.waitForURL(/\/comparison\/[0-9a-f]{32}$/);
    const { request } = (await app.record.comparison(page.url().split('/').at(-1)!))!;
    expect(request.options.setUp).toBe(setUp);
    await page.context().close();
  });

  it('a long name makes the page no wider than a telephone', async () => {
    await app.record.addSetUp(sampleSetUp({ name: 'Practice in the old brewery, second room on the left' }));
    const page = await app.page({ viewport: { width: 360, height: 740 } });
    await page.goto(app.base);
    await awake(page);
    await page.getByText('Treated zones, days, scale and error limits').click();
    await page.getByLabel('Error limits').waitFor();
    expect(await overflowPx(page)).toBe(0);
    await page.context().close();
  });

  it('a set-up that is gone is refused with what to do', async () => {
    const page = await app.page();
    await page.goto(app.base);
    await awake(page);
    await page.setInputFiles('input[data-side=before]', [await faceFile('before-frontal.jpg', 0.33)]);
    await page.setInputFiles('input[data-side=after]', [await faceFile('after-frontal.jpg', 0.64)]);
    await page.getByText('Will be measured: frontal.').waitFor();
    await page.getByLabel('Error limits').selectOption({ label: 'of your set-up: Attic, 3 pairs of 3 people, 2026-11-20' });
    await app.record.removeSetUp('Attic');
    await page.getByRole('button', { name: 'Measure' }).click();
    await page.getByText('The chosen set-up is no longer kept.').waitFor();
    await page.getByText('Reload the page and choose another one.').waitFor();
    await page.context().close();
  });
});
