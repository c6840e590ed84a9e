/** Walking a page with the keyboard alone. */
import type { Page } from 'playwright-core';

/** Presses Tab until the wanted control has the focus; fails when it cannot be reached. */
export async function tabTo(page: Page, wanted: string, most = 120): Promise<void> {
  for (let i = 0; i < most; i++) {
    await page.keyboard.press('Tab');
    if (await page.evaluate((selector) => document.activeElement?.matches(selector) ?? false, wanted)) return;
  }
  throw new Error(`${wanted} could not be reached with the Tab key`);
}

/** The bench answers to keys once it has woken up in the browser. */
export const awake = (page: Page) => page.locator('div[aria-busy=false] > div > section[data-side=before]').waitFor();

export const focusedText = (page: Page) => page.evaluate(() => document.activeElement?.textContent ?? '');

export async function chooseByKey(page: Page, side: 'before' | 'after', files: Parameters<Page['setInputFiles']>[1]): Promise<void> {
  await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
  await tabTo(page, `section[data-side=${side}] > div button`);
  const chooser = page.waitForEvent('filechooser');
  await page.keyboard.press('Enter');
  await (await chooser).setFiles(files as never);
}
