/** The turnable surface and the evidence of a zone, in the browser: by keyboard, by button, and without WebGL. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { surfaceMesh, zoneTurn } from '#app/_result/surface-mesh.ts';
import { FRONT, TURN_ACTS, turnAct, turned, turnWords } from '#app/_result/turn.ts';
import { sampleField } from '#tests/report/sample-field.ts';
import { type App, barriers, measured, openApp, overflowPx, smallTargets } from './harness.ts';
import { tabTo } from './keys.ts';

let app: App;
let id: string;
beforeAll(async () => {
  app = await openApp();
  id = await measured(app, 'A turnable case');
});
afterAll(() => app?.close());

const SURFACE = 'canvas[data-ready=true]';

/** The page, once its pictures show that it answers. */
async function open(page: Page): Promise<void> {
  page.setDefaultTimeout(15_000);
  await page.goto(`${app.base}/comparison/${id}`);
  await page.getByText('Loading').first().waitFor({ state: 'detached' });
}

/** The page with the surface asked for by keyboard. */
async function turnable(page: Page): Promise<void> {
  await open(page);
  await page.getByRole('radio', { name: 'Photographs' }).focus();
  await page.keyboard.press('ArrowRight');
  expect(await page.getByLabel('Turnable surface').isChecked()).toBe(true);
}

const drawn = async (page: Page): Promise<string> => {
  await page.waitForTimeout(250);
  return (await page.locator(SURFACE).screenshot()).toString('base64');
};
const spoken = (page: Page): Promise<string | null> => page.locator(SURFACE).getAttribute('aria-label');

describe('law: turning', () => {
  it('leads back to the front from anywhere, and never shows the mask from behind', () => {
    let turn = FRONT;
    for (let i = 0; i < 20; i++) turn = turned(turned(turn, TURN_ACTS.right), TURN_ACTS.down);
    expect(turn.yaw).toBeLessThan(90);
    expect(turn.pitch).toBeGreaterThan(-90);
    expect(turned(turn, TURN_ACTS.front)).toEqual(FRONT);
    expect(turned(turned(FRONT, TURN_ACTS.left), TURN_ACTS.right)).toEqual(FRONT);
    expect(turned(FRONT, TURN_ACTS.farther)).toEqual(FRONT);
  });
  it('is said in words', () => {
    expect(turnWords(FRONT)).toBe('from the front');
    expect(turnWords({ yaw: -30, pitch: 15, zoom: 2 })).toBe('turned 30° to the left, 15° up');
  });
  it('leaves keys with Ctrl, Alt or Meta to the browser', () => {
    const plain = { key: '+', ctrlKey: false, altKey: false, metaKey: false };
    expect(turnAct(plain)).toEqual(TURN_ACTS.nearer);
    for (const held of ['ctrlKey', 'altKey', 'metaKey'] as const) expect(turnAct({ ...plain, [held]: true })).toBeNull();
    expect(turnAct({ ...plain, key: 'q' })).toBeNull();
  });
  it('brings a zone that looks aside to the front', () => {
    const mesh = surfaceMesh(sampleField().surface);
    const to = zoneTurn(mesh, 'midface-left')!;
    // The sample's zone lies on the left of the picture, so it looks to the left and is turned to the right.
    expect(to.yaw).toBeGreaterThan(15);
    expect(Math.abs(to.pitch)).toBeLessThan(20);
    expect(zoneTurn(mesh, 'chin')).toBeNull();
  });
  it('has a mesh whose outward directions are unit vectors towards the viewer, also where an opening was closed', () => {
    const { surface } = sampleField();
    const open = { ...surface, triangles: surface.triangles.filter((_, k) => Math.floor(k / 6) !== 20 * 40 + 20) };
    const mesh = surfaceMesh(open);
    expect(mesh.triangles.length).toBe(surface.triangles.length - 6 + 12);
    expect(mesh.zone.length).toBe(surface.zone.length + 1);
    const offenders = [...mesh.zone.keys()].filter((i) => {
      const [x, y, z] = mesh.outward.slice(3 * i, 3 * i + 3) as unknown as [number, number, number];
      return Math.abs(Math.hypot(x, y, z) - 1) > 1e-5 || z <= 0;
    });
    expect(offenders).toEqual([]);
  });
});

describe('the turnable surface', () => {
  it('is asked for, turned, brought near and turned back by keyboard alone', { timeout: 60_000 }, async () => {
    const page = await app.page();
    await turnable(page);
    await page.locator(SURFACE).waitFor();
    const front = await drawn(page);
    await tabTo(page, 'section:has(> canvas[data-ready])');
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('ArrowUp');
    expect(await spoken(page)).toContain('turned 30° to the right, 15° up');
    expect(await drawn(page)).not.toBe(front);
    const far = await drawn(page);
    await page.keyboard.press('+');
    expect(await drawn(page)).not.toBe(far);
    await page.keyboard.press('0');
    expect(await spoken(page)).toContain('from the front');
    expect(await drawn(page)).toBe(front);
  });

  it('is turned by buttons, drawn in three reliefs, and marks the zone of the table', { timeout: 60_000 }, async () => {
    const page = await app.page();
    await turnable(page);
    await page.locator(SURFACE).waitFor();
    await page.getByRole('button', { name: 'Turn to the left' }).click();
    await page.getByText('turned 15° to the left', { exact: true }).waitFor();
    const five = await drawn(page);
    await page.getByLabel('10×').check();
    const ten = await drawn(page);
    await page.getByLabel('as measured').check();
    expect(new Set([five, ten, await drawn(page)]).size).toBe(3);
    await page.getByRole('button', { name: 'From the front' }).click();
    const plain = await drawn(page);
    await page.locator('button[data-zone="midface-left"]').focus();
    expect(await drawn(page)).not.toBe(plain);
    expect(app.complaints).toEqual([]);
  });

  it('tells what lies under the pointer, and a press opens its row', { timeout: 60_000 }, async () => {
    const page = await app.page();
    await turnable(page);
    await page.locator(SURFACE).waitFor();
    const box = (await page.locator(SURFACE).boundingBox())!;
    await page.mouse.move(box.x + box.width / 2, box.y + box.height * 0.3);
    await page.getByText(/^(Forehead|Glabella): .*mm here$/).waitFor();
    await page.mouse.down();
    await page.mouse.up();
    await page.getByText('Evidence along a line across the zone').waitFor();
  });

  it('has no barriers and fits a phone, light and dark', { timeout: 60_000 }, async () => {
    for (const how of [
      { viewport: { width: 1280, height: 900 } },
      { viewport: { width: 390, height: 800 }, colorScheme: 'dark' as const },
    ]) {
      const page = await app.page(how);
      await turnable(page);
      await page.locator(SURFACE).waitFor();
      await page.locator('button[data-zone="midface-left"]').press('Enter');
      await page.locator('svg.evidence').waitFor();
      expect(await barriers(page)).toEqual([]);
      expect(await smallTargets(page)).toEqual([]);
      expect(await overflowPx(page)).toBe(0);
    }
  });

  it('gives way to the flat map, and says so, where the browser has no WebGL', { timeout: 60_000 }, async () => {
    const page = await app.page();
    await page.addInitScript(() => {
      const plain = HTMLCanvasElement.prototype.getContext;
      HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, kind: string, ...rest: unknown[]) {
        return kind.startsWith('webgl') ? null : plain.call(this, kind as never, ...(rest as []));
      } as typeof plain;
    });
    await turnable(page);
    await page.getByText('This browser cannot draw the turnable surface').waitFor();
    const picture = page.getByAltText('The after photograph with the map of displacement over it');
    await picture.waitFor();
    await picture.evaluate((image: HTMLImageElement) => image.decode());
    expect(await barriers(page)).toEqual([]);
  });
});

describe('the evidence of a zone', () => {
  it('stands in its row: figure, sentence, and the numbers of both', { timeout: 60_000 }, async () => {
    const page = await app.page();
    await open(page);
    await page.locator('button[data-zone="midface-left"]').press('Enter');
    const figure = page.locator('figure', { hasText: 'Evidence along a line across the zone' });
    await figure.waitFor();
    expect(await figure.locator('svg title').textContent()).toMatch(
      /^Midface, left, along a line of 30 mm .*largest displacement in the zone is −0\.\d\d mm/,
    );
    expect(await figure.locator('p').textContent()).toBe(await figure.locator('svg title').textContent());
    for (const words of ['Displacement, mm', 'Lightness, L*', 'Texture shift', 'Light model trusted'])
      expect(await figure.locator('svg text', { hasText: words }).count()).toBe(1);
    await page.locator('button[data-zone="jawline-left"]').press('Enter');
    expect(await page.locator('figure', { hasText: 'Evidence along a line across the zone' }).count()).toBe(1);
  });

  it('can be kept as a file', async () => {
    const response = await fetch(`${app.base}/api/comparisons/${id}/files/evidence.json`);
    expect(response.headers.get('content-type')).toContain('application/json');
    expect((await response.json()).schema).toBe('ebbline.evidence/1');
  });
});
