/** Series in a browser: begun from a folder and from dropped photographs, watched, stopped, filtered, opened pair by pair, taken away. Pairs are answered by a stand-in. */
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { TOKEN_HEADER } from '#shared/request-headers.ts';
import { runSeriesJobs } from '#workers/run-series-jobs.ts';
import { seriesWork } from '#workers/series/series-work.ts';
import { facePicture } from './fixtures/scene.ts';
import { type App, barriers, openApp, overflowPx, smallTargets, strangers, tokenOf } from './harness.ts';

const threadFile = new URL('../workers/fake-series.thread.ts', import.meta.url);
const RUNNER = 'series-stand-in';

let app: App;
let study: string;
let stopTending: () => Promise<void>;
beforeAll(async () => {
  app = await openApp({ stepMs: 5 });
  study = await mkdtemp(join(tmpdir(), 'ebbline-study-'));
  const beat = setInterval(() => void app.record.heartbeat(RUNNER), 1000);
  await app.record.heartbeat(RUNNER);
  const { record, dataDir } = app;
  const jobs = runSeriesJobs(record, {
    runner: RUNNER,
    work: (series, ending) => seriesWork({ record, runner: RUNNER, dataDir, key: undefined, ending, threadFile }, series),
  });
  stopTending = async () => {
    await jobs.stop();
    clearInterval(beat);
  };
});
afterAll(async () => {
  await stopTending?.();
  await app?.close();
  await rm(study, { recursive: true, force: true });
});

/** Lays a folder with `manifest.csv`; `words` of a subject stand in for its after photograph, a face where there are none. */
async function lay(name: string, subjects: Readonly<Record<string, string>>, face = false): Promise<string> {
  const folder = join(study, name);
  const rows = ['subject,visit,date,file,role'];
  for (const [k, [subject, words]] of Object.entries(subjects).entries()) {
    rows.push(`${subject},v1,2026-09-01,${subject}/before.jpg,baseline`, `${subject},v2,2026-11-20,${subject}/after.jpg,follow-up`);
    for (const side of ['before', 'after']) {
      const path = join(folder, subject, `${side}.jpg`);
      await mkdir(dirname(path), { recursive: true });
      await writeFile(
        path,
        face ? await facePicture(0.1 + k / 10 + (side === 'after' ? 0.05 : 0)) : `${subject} ${side === 'after' ? words : ''}`,
      );
    }
  }
  rows.push('lost,v1,2026-09-01,lost/none.jpg,baseline', '');
  await writeFile(join(folder, 'manifest.csv'), rows.join('\n'));
  return join(folder, 'manifest.csv');
}

const many = (n: number, words = ''): Record<string, string> =>
  Object.fromEntries(Array.from({ length: n }, (_, k) => [`s${String(k).padStart(3, '0')}`, words]));

/** The form answers once it has woken up in the browser. */
async function openForm(page: Page): Promise<void> {
  await page.goto(`${app.base}/series`);
  await page.waitForLoadState('networkidle');
  const details = page.locator('main details').first();
  if (!(await details.evaluate((one) => (one as HTMLDetailsElement).open))) await page.getByText('New series').click();
}

async function beginFromFolder(page: Page, manifest: string, title: string): Promise<string> {
  await openForm(page);
  await page.getByLabel('Manifest', { exact: true }).fill(manifest);
  await page.getByRole('button', { name: 'Look through the manifest' }).click();
  await page.getByText('It asks for').waitFor();
  await page.getByLabel('Name of the series').fill(title);
  await page.getByRole('button', { name: 'Begin the series' }).click();
  await page.waitForURL(/\/series\/[0-9a-f]{32}$/);
  return page.url().slice(-32);
}

const isDone = (page: Page) => page.getByRole('status').getByText('Done', { exact: true }).waitFor();

describe('law: a series from a folder', () => {
  it('is looked through, begun, watched to its end, filtered and taken away', async () => {
    const page = await app.page();
    const manifest = await lay('autumn', { ...many(52), faceless: 'no-face', turned: 'refuse' });
    await openForm(page);
    expect(await barriers(page)).toEqual([]);
    await page.getByLabel('Manifest', { exact: true }).fill(manifest);
    await page.getByRole('button', { name: 'Look through the manifest' }).click();
    await page.getByText('It asks for 54 pairs of 54 subjects, from 108 of 109 rows.').waitFor();
    await page.getByText('One thing is wrong with it').waitFor();
    expect(await page.getByText('lost/none.jpg').count()).toBe(1);
    await page.getByLabel('Name of the series').fill('Autumn');
    expect(await barriers(page)).toEqual([]);
    await page.getByRole('button', { name: 'Begin the series' }).click();
    await page.waitForURL(/\/series\/[0-9a-f]{32}$/);
    await isDone(page);
    await page.getByText('54 of 54 pairs answered. 52 measured, 1 not comparable, 1 failed.').waitFor();

    // The first page of pairs comes from the server, and never all rows at once.
    await page.getByText('54 pairs, page 1 of 2.').waitFor();
    expect(await page.locator('section[aria-label=Pairs] tbody tr').count()).toBe(50);
    await page.getByRole('link', { name: 'Next page' }).click();
    await page.getByText('54 pairs, page 2 of 2.').waitFor();
    expect(await page.locator('section[aria-label=Pairs] tbody tr').count()).toBe(4);
    expect(await barriers(page)).toEqual([]);
    expect(await smallTargets(page)).toEqual([]);

    await page.getByLabel('State').selectOption('failed');
    await page.getByRole('button', { name: 'Show', exact: true }).click();
    await page.getByText('1 pair.').waitFor();
    expect(await page.getByRole('rowheader', { name: 'faceless' }).count()).toBe(1);
    expect(await page.locator('section[aria-label=Pairs]').getByText('No face was found in after.jpg.').count()).toBe(1);
    await page.getByRole('link', { name: 'Show all' }).click();
    await page.getByText('54 pairs, page 1 of 2.').waitFor();
    await page.getByLabel('Subject begins with').fill('s01');
    await page.getByLabel('Zone').selectOption('midface-left');
    await page.getByLabel('Finding').selectOption('beyond-error');
    await page.getByRole('button', { name: 'Show', exact: true }).click();
    await page.getByText('10 pairs.').waitFor();
    await page.getByLabel('Finding').selectOption('not-assessable');
    await page.getByRole('button', { name: 'Show', exact: true }).click();
    await page.getByText('No pair is like that.').waitFor();

    const id = page
      .url()
      .slice(app.base.length + '/series/'.length)
      .slice(0, 32);
    const read = async (name: string): Promise<string> => (await fetch(`${app.base}/api/series/${id}/files/${name}`)).text();
    expect(await read('tables/pairs.csv')).toBe(await readFile(join(app.record.seriesFolder(id), 'pairs.csv'), 'utf8'));
    expect((await read('tables/pairs.csv')).split('\n').filter((line) => line !== '')).toHaveLength(55);
    expect(await read('study/study.html')).toContain('Autumn');
    expect((await fetch(`${app.base}/api/series/${id}/files/tables/series.sqlite`)).status).toBe(404);

    await page.getByText('Write an export that names nobody').click();
    await page.getByRole('button', { name: 'Write it' }).click();
    await page.getByRole('heading', { name: 'Export that names nobody' }).waitFor();
    expect(await read('deidentified/pairs.csv')).not.toContain('faceless');

    await page.getByText('Remove this series').click();
    await page.getByLabel('I no longer need it').check();
    await page.getByRole('button', { name: 'Remove for good' }).click();
    await page.waitForURL(`${app.base}/series`);
    expect(await app.record.series(id)).toBeNull();
    const lines = (await app.record.audit.lines()).filter((line) => line.id === id).map(({ action }) => action);
    expect(lines[0]).toBe('delete');
    expect([...new Set(lines)].sort()).toEqual(['add', 'change', 'delete', 'export', 'view']);
    expect(strangers(app)).toEqual([]);
    expect(app.complaints).toEqual([]);
    await page.context().close();
  });

  it('stops at once, keeps its answers, and goes on; it fits a telephone', async () => {
    const page = await app.page({ viewport: { width: 390, height: 800 } });
    const id = await beginFromFolder(
      page,
      await lay('slow', many(16, 'slow')),
      'A series with a rather long name, of the second half of the year',
    );
    expect(await overflowPx(page)).toBe(0);
    await page.getByText(/[1-9] measured/).waitFor();
    await page.getByRole('button', { name: 'Stop' }).click();
    await page.getByRole('status').getByText('Stopped', { exact: true }).waitFor();
    const measured = (await app.record.series(id))!.progress!.counts!.measured;
    expect(measured).toBeLessThan(16);
    expect(await barriers(page)).toEqual([]);
    await page.getByRole('button', { name: 'Go on' }).click();
    await isDone(page);
    await page.getByText('16 of 16 pairs answered').waitFor();
    await page.getByRole('heading', { name: 'Tables' }).waitFor();
    expect(await overflowPx(page)).toBe(0);
    expect(await smallTargets(page)).toEqual([]);
    await page.goto(`${app.base}/series`);
    await page.getByRole('link', { name: /rather long name/ }).waitFor();
    expect(await overflowPx(page)).toBe(0);
    await page.context().close();
  });
});

describe('law: a series of dropped photographs', () => {
  it('sends what its manifest needs, and any pair opens in the comparison view', async () => {
    const page = await app.page();
    await lay('dropped', many(2), true);
    await writeFile(join(study, 'dropped', 'stray.jpg'), await facePicture(0.9));
    await openForm(page);
    await page.getByLabel(/Dropped here/).check();
    await page.setInputFiles('input[data-series=folder]', join(study, 'dropped'));
    await page.getByText('It asks for 2 pairs of 2 subjects').waitFor();
    await page.getByText('manifest.csv, with 5 photographs beside it.').waitFor();
    await page.getByLabel('Name of the series').fill('Dropped');
    await page.getByRole('button', { name: 'Begin the series' }).click();
    await page.waitForURL(/\/series\/[0-9a-f]{32}$/);
    const id = page.url().slice(-32);
    await isDone(page);
    expect((await app.record.seriesPhotos(id)).map(({ file }) => file).sort()).toEqual([
      's000/after.jpg',
      's000/before.jpg',
      's001/after.jpg',
      's001/before.jpg',
    ]);
    await page.getByRole('button', { name: 'Open s001, v1 to v2' }).click();
    await page.waitForURL(/\/comparison\/[0-9a-f]{32}$/);
    const comparison = page.url().slice(-32);
    await page.getByText('Zones, strongest evidence first').waitFor();
    const { request } = (await app.record.comparison(comparison))!;
    const known = new Map((await app.record.seriesPhotos(id)).map(({ file, sha256 }) => [file, sha256]));
    expect(request).toMatchObject({
      title: 's001, v1 to v2',
      before: [{ sha256: known.get('s001/before.jpg'), name: 'before.jpg' }],
      after: [{ sha256: known.get('s001/after.jpg') }],
    });
    await page.context().close();
  });
});

describe('refusal', () => {
  it('a path that leads nowhere, and a manifest that leaves no pair, are told before anything begins', async () => {
    const page = await app.page();
    await openForm(page);
    const look = async (path: string) => {
      await page.getByLabel('Manifest', { exact: true }).fill(path);
      await page.getByRole('button', { name: 'Look through the manifest' }).click();
    };
    await look('study/manifest.csv');
    await page.getByText('Give the whole path of the manifest').waitFor();
    await look(join(study, 'nowhere.csv'));
    await page.getByText('There is no manifest').waitFor();
    await writeFile(join(study, 'empty.csv'), 'subject,visit,file,role\nx,v1,none.jpg,baseline\n');
    await look(join(study, 'empty.csv'));
    await page.getByText('The manifest leaves no pair to measure.').waitFor();
    expect(await barriers(page)).toEqual([]);
    await page.context().close();
  });

  it('a photograph that changed after it was measured is not shown as the one that was', async () => {
    const page = await app.page();
    const manifest = await lay('changed', many(1), true);
    const id = await beginFromFolder(page, manifest, 'Changed');
    await isDone(page);
    await writeFile(join(dirname(manifest), 's000', 'after.jpg'), await facePicture(0.77));
    await page.getByRole('button', { name: 'Open s000, v1 to v2' }).click();
    await page.getByText('s000/after.jpg is no longer the photograph that the series measured.').waitFor();
    await page.getByRole('button', { name: 'Look for changes and go on' }).click();
    await page.waitForTimeout(300);
    await isDone(page);
    expect((await app.record.series(id))!.progress!.counts).toMatchObject({ measured: 1 });
    await page.getByRole('button', { name: 'Open s000, v1 to v2' }).click();
    await page.waitForURL(/\/comparison\//);
    await page.context().close();
  });

  it('where people sign in, no path of the machine is read, whatever it is', async () => {
    const other = await openApp({ password: 'seven lanterns by the quay' });
    try {
      const page = await other.page();
      await page.goto(`${other.base}/sign-in`);
      await page.getByLabel('Your name').fill('Ada');
      await page.getByLabel('Password').fill('seven lanterns by the quay');
      await page.keyboard.press('Enter');
      await page.waitForURL(`${other.base}/`);
      await page.goto(`${other.base}/series`);
      await page.getByText('Drop the folder here').waitFor();
      expect(await page.getByLabel('Manifest', { exact: true }).count()).toBe(0);
      const source = { kind: 'folder', manifest: await lay('secret', many(1)) };
      const options = { workers: 1, scale: null, setUp: null };
      for (const [address, body] of [
        ['/api/series/look', { source, files: [] }],
        ['/api/series', { title: 'x', source, photos: [], options }],
      ] as const) {
        const answered = await page.evaluate(
          async ([to, text, header]) => {
            const { token } = await (await fetch('/api/token')).json();
            const response = await fetch(to!, {
              method: 'POST',
              body: text!,
              headers: { 'Content-Type': 'application/json', [header!]: token },
            });
            return [response.status, await response.text()];
          },
          [address, JSON.stringify(body), TOKEN_HEADER],
        );
        expect(answered[0]).toBe(403);
        expect(answered[1]).toContain('not-here');
      }
      expect(await other.record.listSeries()).toEqual([]);
    } finally {
      await other.close();
    }
  });

  it('a series of nothing is no address', async () => {
    expect((await fetch(`${app.base}/series/${'0'.repeat(32)}`)).status).toBe(404);
    expect((await fetch(`${app.base}/api/series/${'0'.repeat(32)}`)).status).toBe(404);
    const gone = await fetch(`${app.base}/api/series/${'0'.repeat(32)}`, {
      method: 'DELETE',
      headers: { [TOKEN_HEADER]: await tokenOf(app.base) },
    });
    expect(gone.status).toBe(404);
  });
});
