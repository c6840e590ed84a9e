/** The main job in the browser, from two files to a read result, with the keyboard alone; and what can go wrong on the way. */
import { createHash } from 'node:crypto';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type App, faceFile, measured, openApp, strangers } from './harness.ts';
import { awake, chooseByKey, focusedText, tabTo } from './keys.ts';

let app: App;
beforeAll(async () => {
  app = await openApp({ stepMs: 250 });
});
afterAll(() => app?.close());

describe('by keyboard alone', () => {
  it('chooses photographs, measures them, and reads the result', async () => {
    const page = await app.page();
    page.on('filechooser', () => undefined); // the browser hands choosers over only once someone has asked for them
    await page.goto(app.base);
    await awake(page);
    await chooseByKey(page, 'before', [await faceFile('before-frontal.jpg')]);
    await chooseByKey(page, 'after', [await faceFile('after-frontal.jpg', 1)]);
    await page.getByText('Will be measured: frontal.').waitFor();

    await tabTo(page, 'input[type=checkbox]');
    await page.keyboard.press('Space');
    expect(await page.getByLabel('Forehead').isChecked()).toBe(true);
    expect(await page.getByText('can no longer serve as the negative control').isVisible()).toBe(true);
    await page.keyboard.press('Space');

    await page.getByRole('button', { name: 'Measure' }).focus();
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'Stop' }).waitFor();
    expect(
      await page.locator('[role=status]', { hasText: /Finding the face|Aligning|Reading|Normalising|Measuring|Waiting/ }).count(),
    ).toBe(1);
    await page.waitForURL(/\/comparison\/[0-9a-f]{32}$/);
    expect(await page.locator('h1').textContent()).toMatch(/Midface left \(loss/);

    await page.locator('figure canvas').first().waitFor();
    const second = page.locator('figure').nth(1).locator('figcaption strong');
    await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
    expect(await second.textContent()).toBe('After');
    await page.keyboard.press('Space');
    expect(await second.textContent()).toBe('Before');
    await page.waitForTimeout(400);
    await page.keyboard.press('Space');
    expect(await second.textContent()).toBe('After');

    await tabTo(page, '[aria-describedby=viewer-keys]');
    await page.keyboard.press('+');
    await page.keyboard.press('+');
    await page.locator('canvas[data-zoomed=true]').first().waitFor();
    const before = await shot(page, 0);
    await page.keyboard.press('ArrowRight');
    await page.waitForTimeout(120);
    expect(await shot(page, 0)).not.toBe(before);
    await page.keyboard.press('0');
    await page.getByText('1.0×').waitFor();

    await page.keyboard.press('z');
    await page.keyboard.press('z');
    await page.keyboard.press('Enter');
    expect(await focusedText(page)).toContain('Glabella');
    expect(await page.locator('button[aria-expanded=true]').textContent()).toContain('Glabella');
    await page.keyboard.press('Home');
    expect(await focusedText(page)).toContain('Midface, left');
    await page.keyboard.press('Enter');
    expect(await page.getByRole('region', { name: 'Everything measured in this zone' }).first().isVisible()).toBe(true);
    await page.keyboard.press('ArrowDown');
    expect(await focusedText(page)).toContain('Midface, right');
    await page.context().close();
  });
});

/** What the shelf has of drawn photographs, given as name and shade in turn. */
async function shelved(on: App, ...drawn: (string | number)[]) {
  const found = [];
  for (let i = 0; i + 1 < drawn.length; i += 2) {
    const { buffer } = await faceFile(String(drawn[i]), Number(drawn[i + 1]));
    found.push(await on.record.photo(createHash('sha256').update(buffer).digest('hex')));
  }
  return found;
}

/** What a pane shows, as a hash of its pixels. */
const shot = (page: Page, pane: number): Promise<string> =>
  page.evaluate((index) => {
    const canvas = document.querySelectorAll('canvas')[index]!;
    const { data } = canvas.getContext('2d')!.getImageData(0, 0, canvas.width, canvas.height);
    let hash = 0x811c9dc5;
    for (let i = 0; i < data.length; i += 5) hash = Math.imul(hash ^ data[i]!, 0x01000193) >>> 0;
    return hash.toString(16);
  }, pane);

describe('the pictures', () => {
  it('zoom and move in step, by wheel and by dragging', async () => {
    const page = await app.page();
    await page.goto(`${app.base}/comparison/${await measured(app, 'In step')}`);
    await page.waitForLoadState('networkidle');
    await page.getByLabel('None').check();
    await page.getByRole('button', { name: 'Whole picture' }).click();
    await page.mouse.move(5, 5);
    await page.waitForTimeout(300);
    const start = [await shot(page, 0), await shot(page, 1)];
    const box = (await page.locator('canvas').first().boundingBox())!;
    await page.mouse.move(box.x + box.width / 3, box.y + box.height / 3);
    await page.mouse.wheel(0, -600);
    await page.waitForTimeout(200);
    const zoomed = [await shot(page, 0), await shot(page, 1)];
    expect(zoomed[0]).not.toBe(start[0]);
    expect(zoomed[1]).not.toBe(start[1]);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width / 3 + 40, box.y + box.height / 3 + 30, { steps: 4 });
    await page.mouse.up();
    await page.waitForTimeout(200);
    expect(await shot(page, 0)).not.toBe(zoomed[0]);
    expect(await shot(page, 1)).not.toBe(zoomed[1]);
    await page.getByRole('button', { name: 'Whole picture' }).click();
    await page.mouse.move(5, 5);
    await page.waitForTimeout(200);
    expect([await shot(page, 0), await shot(page, 1)]).toEqual(start);
    await page.context().close();
  });

  it('show the map over the after alone, and mark the zone under the pointer in the table', async () => {
    const page = await app.page();
    await page.goto(`${app.base}/comparison/${await measured(app, 'Map and zones')}`);
    await page.waitForLoadState('networkidle');
    await page.waitForTimeout(400);
    const withMap = [await shot(page, 0), await shot(page, 1)];
    await page.getByLabel('None').check();
    await page.waitForTimeout(300);
    expect(await shot(page, 0)).toBe(withMap[0]);
    expect(await shot(page, 1)).not.toBe(withMap[1]);
    await page.getByLabel('Displacement').check();

    const box = (await page.locator('canvas').first().boundingBox())!;
    await page.mouse.move(box.x + box.width * 0.5, box.y + box.height * 0.2);
    await page.locator('tr[class*=marked]', { hasText: 'Forehead' }).waitFor();
    await page.getByText(/Forehead: [+−]?0\.\d\d\smm here/).waitFor();
    await page.context().close();
  });

  it('never change more than three times in a second, however fast the space bar is pressed', async () => {
    const page = await app.page();
    await page.goto(`${app.base}/comparison/${await measured(app, 'Flashes')}`);
    await page.waitForLoadState('networkidle');
    await page.evaluate(() => {
      const caption = document.querySelectorAll('figcaption')[1]!;
      const times: number[] = [];
      (window as unknown as { times: number[] }).times = times;
      new MutationObserver(() => times.push(performance.now())).observe(caption.querySelector('strong')!, {
        characterData: true,
        subtree: true,
        childList: true,
      });
    });
    for (let i = 0; i < 40; i++) {
      await page.keyboard.press('Space');
      await page.waitForTimeout(25);
    }
    await page.getByRole('button', { name: 'Blink' }).click();
    await page.getByLabel('Blinking speed').selectOption('fast');
    await page.waitForTimeout(1600);
    await page.getByRole('button', { name: 'Stop blinking' }).click();
    const times = await page.evaluate(() => (window as unknown as { times: number[] }).times);
    expect(times.length).toBeGreaterThan(5);
    const inOneSecond = times.map((from) => times.filter((at) => at >= from && at < from + 1000).length);
    expect(Math.max(...inOneSecond)).toBeLessThanOrEqual(4); // a timer may come a few milliseconds late, the next in time
    await page.context().close();
  });
});

describe('the bench', () => {
  it('says what is wrong with a photograph, with what to do, and measures the rest', async () => {
    const page = await app.page();
    await page.goto(app.base);
    await page.setInputFiles('input[data-side=before]', [await faceFile('before-frontal.jpg'), await faceFile('before-oblique.jpg', 0.2)]);
    await page.setInputFiles('input[data-side=after]', [
      await faceFile('after-frontal.jpg', 1),
      await faceFile('after-no-face.jpg', 0.8),
      { name: 'notes.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('these are notes, not a photograph') },
      { name: 'nothing.jpg', mimeType: 'image/jpeg', buffer: Buffer.alloc(0) },
    ]);
    await page.locator('li', { hasText: 'after-no-face.jpg' }).getByText('No face was found').waitFor();
    await page.locator('li', { hasText: 'notes.jpg' }).getByText('is not a photograph that can be read').waitFor();
    await page.locator('li', { hasText: 'nothing.jpg' }).getByText('nothing.jpg has no content.').waitFor();
    await page.getByText('Will be measured: frontal.').waitFor();
    await page.getByText('Left out: oblique, left cheek (only before).').waitFor();
    expect(
      await page
        .locator('li', { hasText: 'after-frontal.jpg' })
        .getByText(/good is at most/)
        .first()
        .textContent(),
    ).toMatch(/3\.40°; good is at most 3°; usable is at most 8°/);
    await page.context().close();
  });

  it('takes dropped and pasted files, swaps, moves, and finds them again after a reload', async () => {
    const page = await app.page();
    await page.goto(app.base);
    await awake(page);
    const hand = async (kind: 'drop' | 'paste', name: string, shade: number) => {
      const bytes = (await faceFile(name, shade)).buffer.toString('base64');
      await page.evaluate(
        ({ kind, name, bytes }) => {
          const data = new DataTransfer();
          data.items.add(new File([Uint8Array.from(atob(bytes), (c) => c.charCodeAt(0))], name, { type: 'image/jpeg' }));
          const event =
            kind === 'drop'
              ? new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true })
              : new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true });
          (kind === 'drop' ? document.querySelector('section[data-side=after]')! : document.body).dispatchEvent(event);
        },
        { kind, name, bytes },
      );
    };
    const tray = (side: string) => page.locator(`section[data-side=${side}]`);
    await hand('drop', 'dropped.jpg', 0.3);
    await tray('after').getByText('dropped.jpg').waitFor();
    await hand('paste', 'pasted.jpg', 0.4);
    await tray('before').getByText('pasted.jpg').waitFor();
    await page.getByText('Will be measured: frontal.').waitFor();
    await page.getByRole('button', { name: 'Swap before and after' }).click();
    await tray('before').getByText('dropped.jpg').waitFor();
    await page.reload();
    await tray('before').getByText('dropped.jpg').waitFor();
    await tray('after').getByText('pasted.jpg').waitFor();
    await page.getByText('Will be measured: frontal.').waitFor();
    await page.getByRole('button', { name: 'Move to before: pasted.jpg' }).click();
    await page.getByText('This tray already has a frontal photograph.').waitFor();
    await page.getByRole('button', { name: 'Remove: pasted.jpg' }).click();
    await page.getByText('Add a photograph from after.').waitFor();
    const [dropped] = await shelved(app, 'dropped.jpg', 0.3);
    expect(dropped).not.toBeNull();
    await page.getByRole('button', { name: 'Empty both trays' }).click();
    await page.getByText('Add a photograph from before and one from after.').waitFor();
    await expect
      .poll(async () => (await shelved(app, 'dropped.jpg', 0.3, 'pasted.jpg', 0.4)).filter((photo) => photo !== null))
      .toEqual([]);
    await page.context().close();
  });

  it('stops a comparison when asked, and keeps nothing of it', async () => {
    const page = await app.page();
    await page.goto(app.base);
    await page.setInputFiles('input[data-side=before]', [await faceFile('before-frontal.jpg', 0.45)]);
    await page.setInputFiles('input[data-side=after]', [await faceFile('after-frontal.jpg', 0.55)]);
    await page.getByText('Will be measured: frontal.').waitFor();
    const had = (await app.record.listComparisons()).length;
    await page.getByRole('button', { name: 'Measure' }).click();
    await page.getByRole('button', { name: 'Stop' }).click();
    await page.getByText('The measurement was stopped.').waitFor();
    expect((await app.record.listComparisons()).length).toBe(had);
    await page.context().close();
  });

  it('lists comparisons and removes one only when asked twice', async () => {
    const id = await measured(app, 'To be removed');
    const page = await app.page();
    await page.goto(app.base);
    await page.getByRole('button', { name: 'Remove: To be removed' }).click();
    expect(await app.record.comparison(id)).not.toBeNull();
    await page.getByRole('button', { name: 'Remove for good' }).click();
    await page.getByRole('link', { name: 'To be removed' }).waitFor({ state: 'detached' });
    expect(await app.record.comparison(id)).toBeNull();
    await page.context().close();
  });
});

describe('a pair that cannot be compared', () => {
  it('says why first, what to do, and still shows the pictures', async () => {
    const page = await app.page();
    await page.goto(`${app.base}/comparison/${await measured(app, 'An incomparable pair')}`);
    await page.waitForLoadState('networkidle');
    expect(await page.locator('h1').textContent()).toMatch(/not comparable/);
    expect(await page.locator('li', { hasText: 'Difference of distance' }).first().textContent()).toMatch(
      /Take both photographs from the same distance/,
    );
    expect(await page.locator('canvas').count()).toBe(2);
    expect(await page.getByLabel('Same light').isDisabled()).toBe(true);
    expect(await page.locator('table', { hasText: 'strongest evidence' }).count()).toBe(0);
    await page.context().close();
  });
});

describe('privacy', () => {
  it('reached nothing but its own address, and broke no content policy', () => {
    expect(app.asked.length).toBeGreaterThan(50);
    expect([...strangers(app), ...app.complaints]).toEqual([]);
  });
});
