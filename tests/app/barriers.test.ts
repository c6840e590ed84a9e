/** Every page, light and dark, wide and narrow: no serious barrier, no control too small, nothing wider than the window. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type App, barriers, faceFile, measured, openApp, overflowPx, smallTargets, strangers } from './harness.ts';

let app: App;
const addresses: Record<string, string> = {};

beforeAll(async () => {
  app = await openApp();
  addresses['the bench'] = '/';
  addresses['what is measured'] = '/about';
  addresses['a result'] = `/comparison/${await measured(app, 'Two views', ['frontal', 'oblique'])}`;
  addresses['a result not to be trusted'] = `/comparison/${await measured(app, 'An untrusted pair')}`;
  addresses['a pair that cannot be compared'] = `/comparison/${await measured(app, 'An incomparable pair')}`;
  addresses['an address that leads nowhere'] = '/comparison/00000000000000000000000000000000';
});
afterAll(() => app?.close());

const NAMES = [
  'the bench',
  'what is measured',
  'a result',
  'a result not to be trusted',
  'a pair that cannot be compared',
  'an address that leads nowhere',
];

describe.each(NAMES)('%s', (name) => {
  it.each([
    { width: 1280, colorScheme: 'light' },
    { width: 1280, colorScheme: 'dark' },
    { width: 390, colorScheme: 'light' },
  ] as const)('has no barrier at $width px, $colorScheme', async ({ width, colorScheme }) => {
    const page = await app.page({ viewport: { width, height: 900 }, colorScheme });
    await page.goto(app.base + addresses[name]);
    await page.waitForLoadState('networkidle');
    expect(await barriers(page)).toEqual([]);
    expect(await smallTargets(page)).toEqual([]);
    expect(await overflowPx(page)).toBe(0);
    await page.context().close();
  });
});

describe('the bench in use', () => {
  it('has no barrier with photographs checked, refused and noted, and options open', async () => {
    for (const width of [1280, 390]) {
      const page = await app.page({ viewport: { width, height: 900 } });
      await page.goto(app.base);
      await page.setInputFiles('input[data-side=before]', [
        await faceFile('before-frontal.jpg'),
        await faceFile('before-oblique.jpg', 0.2),
      ]);
      await page.setInputFiles('input[data-side=after]', [
        await faceFile('after-undated.jpg', 1),
        await faceFile('after-no-face.jpg', 0.7),
      ]);
      await page.getByText('No face was found').first().waitFor();
      await page.getByText('Will be measured: frontal').waitFor();
      await page.getByLabel('From the measured distance of the pupils').check();
      await page.getByLabel('Pupil distance').fill('630');
      expect(await barriers(page)).toEqual([]);
      expect(await smallTargets(page)).toEqual([]);
      expect(await overflowPx(page)).toBe(0);
      await page.context().close();
    }
  });
});

describe('a result in use', () => {
  it('has no barrier with a row opened and a zone outlined', async () => {
    for (const width of [1280, 390]) {
      const page = await app.page({ viewport: { width, height: 900 } });
      await page.goto(app.base + addresses['a result']);
      await page.getByRole('button', { name: 'Midface, left' }).click();
      await page.getByRole('button', { name: 'Jawline, left' }).click();
      await page.getByLabel('All outlines').check();
      expect(await barriers(page)).toEqual([]);
      expect(await smallTargets(page)).toEqual([]);
      expect(await overflowPx(page)).toBe(0);
      await page.context().close();
    }
  });
});

describe('the instruments', () => {
  it('see a barrier, a small control and an overflow that were put there', async () => {
    const page = await app.page();
    await page.goto(`${app.base}/about`);
    // what is put there before the page has woken up would be taken for a mistake of the server
    await page.waitForFunction(() => Object.keys(document.querySelector('main')!).some((key) => key.startsWith('__react')));
    await page.evaluate(() => {
      const field = document.createElement('input');
      const button = document.createElement('button');
      const wide = document.createElement('div');
      button.style.cssText = 'all: unset; display: block; width: 10px; height: 10px';
      wide.style.cssText = 'width: 3000px; height: 1px';
      document.querySelector('main')!.append(field, button, wide);
    });
    expect((await barriers(page)).join()).toMatch(/label.*input/);
    expect((await smallTargets(page)).join()).toMatch(/BUTTON.*10 x 10/);
    expect(await overflowPx(page)).toBeGreaterThan(1000);
    await page.context().close();
  });
});

describe('privacy', () => {
  it('reached nothing but its own address, and broke no content policy', () => {
    expect(app.asked.length).toBeGreaterThan(50);
    expect([...strangers(app), ...app.complaints]).toEqual([]);
  });
});
