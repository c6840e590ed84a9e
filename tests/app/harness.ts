/**
 * The built page on a record of its own in a temporary folder, with a stand-in for the measurement, and a browser that
 * remembers every address it was asked to reach.
 */
import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import { existsSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { AxeBuilder } from '@axe-core/playwright';
import { type Browser, type BrowserContext, type BrowserContextOptions, chromium, type Page } from 'playwright-core';
import { openRecord } from '#lib/record/open.ts';
import type { RecordStore } from '#lib/record/types.ts';
import type { PhotoRef } from '#shared/job.ts';
import { facePicture } from '#tests/app/fixtures/scene.ts';
import { standIn } from '#tests/app/fixtures/stand-in-runner.ts';
import { buildPage } from '#workers/tasks/page-build.ts';

const CHROMIUM = process.env['EBBLINE_CHROMIUM'] ?? '/usr/bin/chromium';
const QUIET = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  // WebGL drawn by the processor.
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--force-color-profile=srgb',
];
export const ROOT = fileURLToPath(new URL('../../', import.meta.url));

export type App = {
  base: string;
  /** The process of the page's server. */
  webPid: number;
  dataDir: string;
  record: RecordStore;
  browser: Browser;
  /** A page in a context of its own; every address it asks for is kept in `asked`. */
  page: (how?: BrowserContextOptions) => Promise<Page>;
  asked: string[];
  /** What the page complained of: errors thrown, and breaches of the content policy. */
  complaints: string[];
  close: () => Promise<void>;
};

/** `stepMs`: how long each of the five steps of a comparison pretends to take. `password`: what the page asks for before it shows anything. */
export async function openApp({ stepMs = 40, password }: { stepMs?: number; password?: string } = {}): Promise<App> {
  const built = await buildPage();
  if (!built.ok) throw new Error('The page could not be built.');
  const dataDir = await mkdtemp(join(tmpdir(), 'ebbline-app-'));
  const web = fork(join(ROOT, 'workers/web.ts'), ['--port', '0', ...(password ? ['--sign-in'] : [])], {
    cwd: ROOT,
    env: { ...process.env, EBBLINE_HOME: dataDir, ...(password ? { EBBLINE_PASSWORD: password } : {}) },
    execArgv: [],
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  });
  const [message] = (await once(web, 'message')) as [{ listening?: number; failed?: string }];
  if (message.listening === undefined) throw new Error(`The page's server did not start: ${message.failed}`);

  const record = openRecord({ dataDir });
  const stop = new AbortController();
  const working = standIn(record, stop.signal, stepMs);
  const browser = await openBrowser();
  const contexts: BrowserContext[] = [];
  const asked: string[] = [];
  const complaints: string[] = [];

  return {
    base: `http://127.0.0.1:${message.listening}`,
    webPid: web.pid!,
    dataDir,
    record,
    browser,
    asked,
    complaints,
    page: async (how = {}) => {
      const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...how });
      contexts.push(context);
      context.on('request', (request) => asked.push(request.url()));
      const page = await context.newPage();
      page.on('pageerror', (error) => complaints.push(error.message));
      page.on('console', (line) => {
        if (line.type() === 'error' && /Content Security Policy|hydrat/i.test(line.text())) complaints.push(line.text());
      });
      return page;
    },
    close: async () => {
      for (const context of contexts) await context.close().catch(() => undefined);
      await browser.close();
      stop.abort();
      await working;
      await record.close();
      await ended(web);
      await rm(dataDir, { recursive: true, force: true });
    },
  };
}

/** Chromium, kept from calling home. Throws when there is none. */
export async function openBrowser(): Promise<Browser> {
  if (!existsSync(CHROMIUM)) throw new Error(`There is no Chromium at ${CHROMIUM}. Install it, or name one in EBBLINE_CHROMIUM.`);
  return chromium.launch({ executablePath: CHROMIUM, args: QUIET });
}

async function ended(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const exit = once(child, 'exit');
  child.kill('SIGTERM');
  await exit;
}

/** Files as a chooser hands them over. */
export async function faceFile(name: string, shade = 0): Promise<{ name: string; mimeType: string; buffer: Buffer }> {
  return { name, mimeType: 'image/jpeg', buffer: await facePicture(shade) };
}

/** Puts a comparison into the record as the bench would, and waits until it is measured. */
export async function measured(app: App, title: string, views: readonly string[] = ['frontal']): Promise<string> {
  const shelve = async (role: string, shade: number): Promise<PhotoRef[]> => {
    const refs: PhotoRef[] = [];
    for (const [i, view] of views.entries()) {
      const stored = await app.record.addPhoto(new Uint8Array(await facePicture(shade + i / 20)), `${role}-${view}.jpg`);
      if (!stored.ok) throw new Error(stored.detail);
      refs.push({ sha256: stored.value.sha256, name: `${role}-${view}.jpg` });
    }
    return refs;
  };
  const id = await app.record.enqueue({
    kind: 'compare',
    title,
    before: await shelve('before', 0),
    after: await shelve('after', 1),
    options: {},
  });
  for (let tries = 0; tries < 300; tries++) {
    if ((await app.record.job(id))?.state === 'done') return id;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Error(`${title} was not measured in time`);
}

/** The token that a page of the program sends with every change. */
export async function tokenOf(base: string): Promise<string> {
  return ((await (await fetch(`${base}/api/token`)).json()) as { token: string }).token;
}

/** What axe finds wrong that is serious or critical, as short lines; the answer wanted is none. */
export async function barriers(page: Page): Promise<string[]> {
  const { violations } = await new AxeBuilder({ page })
    .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'])
    .analyze();
  return violations
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .flatMap(({ id, nodes }) => nodes.map((node) => `${id}: ${node.target.join(' ')} ${node.failureSummary?.replace(/\s+/g, ' ') ?? ''}`));
}

/** Controls smaller than 24 by 24 CSS px (WCAG 2.2, 2.5.8), but for links in running text, which the criterion excepts. */
export async function smallTargets(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const small: string[] = [];
    for (const element of document.querySelectorAll<HTMLElement>('button, a.button, nav a, select, input, summary')) {
      const label = element.closest('label');
      const box = (label ?? element).getBoundingClientRect();
      const style = getComputedStyle(element);
      if (box.width === 0 || style.visibility === 'hidden' || style.clipPath !== 'none' || element.tabIndex < 0) continue;
      if (box.width < 23.9 || box.height < 23.9)
        small.push(`${element.tagName} ${element.textContent?.trim().slice(0, 30)} ${box.width.toFixed(0)} x ${box.height.toFixed(0)}`);
    }
    return small;
  });
}

/** How far the page is wider than its window, px. */
export const overflowPx = (page: Page): Promise<number> =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

/** Addresses asked for that are not the program's own. */
export const strangers = ({ asked, base }: App): string[] =>
  asked.filter((address) => !['blob:', 'data:', `${base}/`].some((own) => address.startsWith(own)));
