import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openEngine } from '#lib/face/engine.ts';
import type { Srgb8Raster } from '#lib/photo/types.ts';
import { NEEDS_FACES, photographs, picture, talkingFrames } from '#tests/face/photographs.ts';
import { ENGINE_FILES, writeEngineFiles } from '#workers/engine-files.ts';

const CHROMIUM = '/usr/bin/chromium';
const QUIET = [
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];
/** The page holds the module under this name: an import inside `evaluate` would be rewritten by the test runner. */
type FaceBrowser = typeof import('#workers/face-browser.ts');
declare const faceBrowser: FaceBrowser;
const PAGE = '<!doctype html><title>engine</title><script type=module src=/page.js></script>';
const PAGE_SCRIPT = "import * as module from '/engine/face-browser.js'; globalThis.faceBrowser = module;";
/** What a worker that runs the engine is allowed, and no more. */
const POLICY = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'; worker-src 'self'";

const paths = [...photographs('composite').slice(0, 2), ...photographs('lisa').slice(0, 1), ...talkingFrames().slice(0, 2)];
const pictures = new Map<string, Srgb8Raster>();
const asked: string[] = [];
let folder: string;
let server: Server;
let origin: string;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'ebbline-engine-'));
  writeEngineFiles(folder);
  for (const [i, path] of paths.entries()) pictures.set(`/pixels/${i}`, await picture(path, i === 0 ? 1000 : 480));
  server = createServer((request, response) => {
    const path = request.url ?? '';
    const pixels = pictures.get(path);
    const file = ENGINE_FILES.find((f) => `/engine/${f.name}` === path);
    response.setHeader('Content-Security-Policy', POLICY);
    if (pixels) response.end(pixels.data);
    else if (file) response.setHeader('Content-Type', file.type).end(readFileSync(join(folder, file.name)));
    else if (path === '/page.js') response.setHeader('Content-Type', 'text/javascript').end(PAGE_SCRIPT);
    else response.writeHead(path === '/' ? 200 : 404, { 'Content-Type': 'text/html' }).end(PAGE);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  origin = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  browser = await chromium.launch({ executablePath: CHROMIUM, chromiumSandbox: false, args: QUIET });
  const context = await browser.newContext();
  context.on('request', (request) => asked.push(request.url()));
  page = await context.newPage();
  await page.goto(`${origin}/`);
  await page.waitForFunction(() => 'faceBrowser' in globalThis);
});

afterAll(async () => {
  await browser?.close();
  await new Promise((resolve) => server?.close(resolve));
  rmSync(folder, { recursive: true, force: true });
});

/** Landmarks of each face, px, as the page itself computes them. */
function onPage(path: string, { width, height }: Srgb8Raster): Promise<number[][]> {
  return page.evaluate(
    async ({ path, width, height }) => {
      const data = new Uint8Array(await (await fetch(path)).arrayBuffer());
      const engine = await faceBrowser.openBrowserEngine();
      return engine.detect({ encoding: 'srgb8', width, height, data }).map((face) => [...face.landmarks]);
    },
    { path, width, height },
  );
}

/** What a worker answers, in fractions of the picture. */
function inWorker(path: string, { width, height }: Srgb8Raster): Promise<{ ok: boolean; faces: number[][]; detail?: string }> {
  return page.evaluate(
    async ({ path, width, height }) => {
      const data = new Uint8Array(await (await fetch(path)).arrayBuffer());
      const worker = new Worker('/engine/face-browser.js', { type: 'module' });
      const answer = await new Promise<{ id: number; ok: boolean; faces?: Float64Array[]; detail?: string }>((resolve, reject) => {
        worker.onmessage = (event) => resolve(event.data);
        worker.onerror = (event) => reject(new Error(event.message || 'the worker did not load'));
        worker.postMessage({ id: 7, picture: { encoding: 'srgb8', width, height, data } });
      });
      worker.terminate();
      if (answer.id !== 7) throw new Error('an answer to another question');
      return { ...answer, faces: (answer.faces ?? []).map((face) => [...face]) };
    },
    { path, width, height },
  );
}

describe('law', () => {
  it.skipIf(!paths.length)(`gives in Chromium, to the last bit, the landmarks that it gives in Node${NEEDS_FACES}`, async () => {
    const engine = await openEngine();
    for (const [path, raster] of pictures) {
      const here = engine.detect(raster).map((face) => [...face.landmarks]);
      expect(here).toHaveLength(1);
      expect(await onPage(path, raster)).toEqual(here);
    }
  });

  it.skipIf(!paths.length)(`gives the same from a worker, in fractions of the picture${NEEDS_FACES}`, async () => {
    const [path, raster] = [...pictures][1];
    const here = (await openEngine()).detect(raster)[0].landmarks;
    const answer = await inWorker(path, raster);
    expect(answer.detail).toBeUndefined();
    expect(answer.faces[0]).toEqual([...here].map((v, i) => v / [raster.width, raster.height, raster.width][i % 3]));
  });

  it.skipIf(!paths.length)(`looks at a bitmap too, and shrinks it${NEEDS_FACES}`, async () => {
    const [path, raster] = [...pictures][0];
    const here = (await openEngine()).detect(raster)[0].landmarks;
    const { size, face } = await page.evaluate(
      async ({ path, width, height }) => {
        const { rasterOfBitmap, openBrowserEngine } = faceBrowser;
        const rgb = new Uint8Array(await (await fetch(path)).arrayBuffer());
        const image = new ImageData(width, height);
        for (let i = 0; i < width * height; i++) image.data.set([rgb[3 * i], rgb[3 * i + 1], rgb[3 * i + 2], 255], 4 * i);
        const shrunk = rasterOfBitmap(await createImageBitmap(image), 500);
        return { size: [shrunk.width, shrunk.height], face: [...(await openBrowserEngine()).detect(shrunk)[0].landmarks] };
      },
      { path, width: raster.width, height: raster.height },
    );
    expect(Math.max(...size)).toBe(500);
    const apart = Math.hypot(here[3 * 473] - here[3 * 468], here[3 * 473 + 1] - here[3 * 468 + 1]);
    const factor = raster.width / size[0];
    const far = [...here].map((v, i) => (i % 3 === 2 ? 0 : Math.abs(v - factor * face[i])));
    expect(Math.max(...far)).toBeLessThan(0.03 * apart); // one call each: the wander of landmarks, at the worst point
  });

  it('asks nobody but the server it came from', () => {
    expect(asked.length).toBeGreaterThan(5);
    expect(asked.filter((url) => !url.startsWith(`${origin}/`))).toEqual([]);
  });
});

describe('refusal', () => {
  it('answers a broken picture with the reason', async () => {
    const [path] = [...pictures.keys(), '/'];
    const answer = await inWorker(path, { encoding: 'srgb8', width: 3, height: 7, data: new Uint8Array(0) });
    expect(answer.ok).toBe(false);
    expect(answer.detail).toMatch(/^a raster of 3 x 7 px needs 63 bytes, got \d+$/);
  });
});
