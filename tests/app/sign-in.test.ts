/** Signing in in a browser, by keyboard: nothing before, everything after in one's own name, and out again. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type App, barriers, openApp, overflowPx, smallTargets } from './harness.ts';

const WORD = 'seven lanterns by the quay';
let app: App;
beforeAll(async () => {
  app = await openApp({ password: WORD });
});
afterAll(() => app?.close());

describe('law', () => {
  it('asks first, says what was wrong, lets in, shows whose hands it is in, and lets out', async () => {
    const page = await app.page();
    await page.goto(`${app.base}/cases`);
    expect(page.url()).toBe(`${app.base}/sign-in?to=%2Fcases`);
    expect(await barriers(page)).toEqual([]);

    await page.getByLabel('Your name').focus();
    await page.keyboard.type('Zoë Ward');
    await page.keyboard.press('Tab');
    await page.keyboard.type('not the password');
    await page.keyboard.press('Enter');
    await page.getByRole('alert').getByText('That is not the password.').waitFor();
    expect(await page.getByLabel('Your name').inputValue()).toBe('Zoë Ward');
    expect(await page.evaluate(() => document.activeElement?.getAttribute('type'))).toBe('password');
    expect(await barriers(page)).toEqual([]);
    await page.keyboard.type(WORD);
    await page.keyboard.press('Enter');
    await page.waitForURL(`${app.base}/cases`);
    await page.getByRole('button', { name: 'Sign out' }).waitFor();
    expect(await page.getByText('Zoë Ward').count()).toBe(1);
    expect(await barriers(page)).toEqual([]);
    expect(await page.evaluate(() => document.cookie)).toBe('');
    expect(app.complaints).toEqual([]);

    const lines = await app.record.audit.lines();
    expect(lines.map(({ actor, action }) => [actor, action])).toEqual([
      ['Zoë Ward', 'sign-in'],
      ['not signed in', 'sign-in-refused'],
    ]);
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.waitForURL(`${app.base}/sign-in`);
    await page.goto(`${app.base}/about`);
    expect(page.url()).toBe(`${app.base}/sign-in?to=%2Fabout`);
  });

  it('fits a telephone, signed out and signed in', async () => {
    const page = await app.page({ viewport: { width: 390, height: 800 } });
    await page.goto(app.base);
    expect([await overflowPx(page), await smallTargets(page)]).toEqual([0, []]);
    await page.getByLabel('Your name').fill('A name that is much longer than any corner has room for');
    await page.getByLabel('Password of the practice').fill(WORD);
    await page.getByRole('button', { name: 'Sign in' }).click();
    await page.getByRole('button', { name: 'Sign out' }).waitFor();
    expect([await overflowPx(page), await smallTargets(page)]).toEqual([0, []]);
  });

  it('a page that was open when somebody signed in anew goes on with its next change', async () => {
    const page = await app.page();
    await page.goto(app.base);
    const signIn = async () => {
      await page.getByLabel('Your name').fill('Ada');
      await page.getByLabel('Password of the practice').fill(WORD);
      await page.getByRole('button', { name: 'Sign in' }).click();
      await page.getByRole('button', { name: 'Sign out' }).waitFor();
    };
    await signIn();
    const other = await page.context().newPage();
    await other.goto(`${app.base}/cases`);
    await other.getByRole('button', { name: 'Sign out' }).waitFor();
    // The first page takes a token, then the session is exchanged for another one behind its back.
    await page.evaluate(() => fetch('/api/token'));
    await other.getByRole('button', { name: 'Sign out' }).click();
    await other.waitForURL(`${app.base}/sign-in`);
    await other.getByLabel('Your name').fill('Bo');
    await other.getByLabel('Password of the practice').fill(WORD);
    await other.getByRole('button', { name: 'Sign in' }).click();
    await other.getByRole('button', { name: 'Sign out' }).waitFor();
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.waitForURL(`${app.base}/sign-in`);
    await other.reload();
    expect(other.url()).toMatch(/\/sign-in(\?to=%2Fcases)?$/);
  });
});
