/** `ebbline exchange` as a user calls it: what it writes, what it leaves alone, and what it says. */
import { mkdir, readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { photographInDicom } from '#lib/photo/dicom.ts';
import { openPhoto } from '#lib/photo/open.ts';
import { readJpegFrame } from '#lib/report/dicom/jpeg-frame.ts';
import type { Comparison } from '#shared/comparison.ts';
import { hasProgram, runProgram } from '#tests/debian-tool.ts';
import { dicomBytes, encapsulated, pictureElements } from '#tests/photo/dicom-bytes.ts';
import { withDir } from '#tests/record/sample-jobs.ts';
import { exchangeComparison, exchangePhotographs } from '#tests/report/exchange-sample.ts';
import { incomparable } from '#tests/report/sample-comparison.ts';
import { ebbline } from '#workers/cli.ts';
import { exchangeJpeg } from '#workers/exchange-photographs.ts';
import { loadMeasuring } from '#workers/measuring.ts';
import { fakeMeasuring } from './fake-measuring.ts';

async function run(...args: string[]): Promise<{ exit: number; out: string; err: string }> {
  const said = { out: '', err: '' };
  const exit = await ebbline(args, {
    out: (text) => {
      said.out += text;
    },
    err: (text) => {
      said.err += text;
    },
    terminal: false,
    columns: 80,
    env: {},
    measuring: async () => fakeMeasuring,
  });
  return { exit, ...said };
}

/** A folder as `compare` leaves it. */
async function comparisonDir(dir: string, name: string, comparison: Comparison = exchangeComparison()): Promise<string> {
  const place = join(dir, name);
  await mkdir(place);
  await writeFile(join(place, 'comparison.json'), JSON.stringify(comparison));
  for (const { role, view, jpeg } of await exchangePhotographs(comparison))
    await writeFile(join(place, `${view}.${role}-as-taken.jpg`), jpeg);
  return place;
}

const oneSentence = (text: string): void => expect(text).toMatch(/^[^\n]+\.\n(?:ebbline exchange --help says more\.\n)?$/);

describe('law', () => {
  it('writes DICOM and FHIR, the same bytes each time, and nothing beside them', () =>
    withDir(async (dir) => {
      const place = await comparisonDir(dir, 'case');
      const both = (k: number) => ['exchange', place, '--dicom', join(dir, `d${k}`), '--fhir', join(dir, `f${k}.json`), '--subject', 'P-7'];
      expect(await run(...both(1))).toMatchObject({ exit: 0, err: '', out: expect.stringContaining('6 photographs and report.dcm') });
      expect((await run(...both(2))).exit).toBe(0);
      const names = await readdir(join(dir, 'd1'));
      expect(names).toHaveLength(7);
      for (const name of names) expect((await readFile(join(dir, 'd1', name))).equals(await readFile(join(dir, 'd2', name)))).toBe(true);
      expect(await readFile(join(dir, 'f1.json'), 'utf8')).toBe(await readFile(join(dir, 'f2.json'), 'utf8'));
      expect((await readdir(dir)).sort()).toEqual(['case', 'd1', 'd2', 'f1.json', 'f2.json']);
      const bundle = JSON.parse(await readFile(join(dir, 'f1.json'), 'utf8'));
      expect(bundle).toMatchObject({ resourceType: 'Bundle', type: 'collection' });
      if (hasProgram('dcmftest')) expect(runProgram('dcmftest', [join(dir, 'd1', 'report.dcm')]).out).toMatch(/^yes/);
    }));

  it('replaces an earlier exchange only when told, and other files never', () =>
    withDir(async (dir) => {
      const place = await comparisonDir(dir, 'case');
      const [out, file] = [join(dir, 'out'), join(dir, 'b.json')];
      expect((await run('exchange', place, '--dicom', out, '--fhir', file)).exit).toBe(0);
      for (const option of [
        ['--dicom', out],
        ['--fhir', file],
      ]) {
        const again = await run('exchange', place, ...option);
        expect(again).toMatchObject({ exit: 2, err: expect.stringContaining('--force') });
        oneSentence(again.err);
        expect((await run('exchange', place, ...option, '--force', '--subject', 'other')).exit).toBe(0);
      }
      expect(await readFile(file, 'utf8')).toContain('"other"');
      await writeFile(join(out, 'letter.txt'), 'x');
      expect(await run('exchange', place, '--dicom', out, '--force')).toMatchObject({
        exit: 2,
        err: expect.stringContaining('letter.txt'),
      });
      expect(await readdir(out)).toHaveLength(8);
    }));

  it('hands on originals at their full size, upright and without what the camera wrote', () =>
    withDir(async (dir) => {
      const picture = sharp({ create: { width: 500, height: 300, channels: 3, background: '#b98' } });
      const original = new Uint8Array(
        await picture
          .withMetadata({ orientation: 6, exif: { IFD0: { Artist: 'Somebody' } } })
          .jpeg()
          .toBuffer(),
      );
      await writeFile(join(dir, 'IMG_1.jpg'), original);
      const opened = await openPhoto(original, 'IMG_1.jpg');
      if (!opened.ok) throw new Error(opened.detail);
      const comparison = exchangeComparison();
      const place = await comparisonDir(dir, 'case', {
        ...comparison,
        inputs: comparison.inputs.map((input, k) => (k === 0 ? { ...input, sha256: opened.value.sha256 } : input)),
      });
      const done = await run('exchange', place, '--dicom', join(dir, 'out'), '--photographs', join(dir, 'IMG_1.jpg'));
      expect(done).toMatchObject({ exit: 0, err: '' });
      const inside = photographInDicom(new Uint8Array(await readFile(join(dir, 'out', 'before-frontal.dcm'))), 'a.dcm');
      if (!inside.ok) throw new Error(inside.detail);
      expect(await sharp(inside.value.bytes).metadata()).toMatchObject({ width: 300, height: 500, chromaSubsampling: '4:2:0' });
      expect(Buffer.from(inside.value.bytes).includes('Somebody')).toBe(false);
      expect(inside.value.takenAt).toBe('2026-09-01T10:00:00');
      await writeFile(join(dir, 'other.jpg'), (await exchangePhotographs(comparison))[0].jpeg);
      const stray = await run('exchange', place, '--fhir', join(dir, 'f.json'), '--photographs', join(dir, 'other.jpg'));
      expect(stray).toMatchObject({ exit: 2, err: expect.stringContaining('other.jpg') });
    }));

  it('keeps the pixels of an original that is upright and sRGB already', async () => {
    const picture = sharp({ create: { width: 320, height: 400, channels: 3, background: '#b98' } });
    const bytes = new Uint8Array(
      await picture
        .withExif({ IFD0: { Artist: 'Somebody' } })
        .jpeg({ quality: 97, chromaSubsampling: '4:4:4' })
        .toBuffer(),
    );
    const ready = await exchangeJpeg({ name: 'a.jpg', bytes });
    if (!ready.ok) throw new Error(ready.detail);
    expect(ready.value.original).toBe(true);
    expect(Buffer.from(ready.value.jpeg).includes('Somebody')).toBe(false);
    expect((await sharp(ready.value.jpeg).raw().toBuffer()).equals(await sharp(bytes).raw().toBuffer())).toBe(true);
    for (const other of [
      picture.clone().jpeg({ progressive: true }),
      picture.clone().withMetadata({ orientation: 3 }).jpeg(),
      picture.clone().withIccProfile('p3').jpeg(),
      picture.clone().png(),
    ]) {
      const made = await exchangeJpeg({ name: 'a.jpg', bytes: new Uint8Array(await other.toBuffer()) });
      if (!made.ok) throw new Error(made.detail);
      expect(made.value.original).toBe(false);
      expect(readJpegFrame(made.value.jpeg)).toMatchObject({ baseline: true, components: 3, width: 320, height: 400 });
    }
    expect(await exchangeJpeg({ name: 'a.jpg', bytes: bytes.slice(0, 300) })).toMatchObject({ ok: false, why: 'truncated' });
  });

  it('makes one bundle of several comparisons, with those that are not comparable', () =>
    withDir(async (dir) => {
      const [a, b] = [await comparisonDir(dir, 'a'), await comparisonDir(dir, 'b', incomparable())];
      const file = join(dir, 'series.json');
      expect(await run('exchange', a, b, '--fhir', file, '--transaction', '--embed', '--subject', 'P-7')).toMatchObject({ exit: 3 });
      const bundle = JSON.parse(await readFile(file, 'utf8')) as { type: string; entry: { resource: { resourceType: string } }[] };
      expect(bundle.type).toBe('transaction');
      const count = (type: string): number => bundle.entry.filter(({ resource }) => resource.resourceType === type).length;
      expect([count('DiagnosticReport'), count('Patient')]).toEqual([2, 1]);
      expect(await readFile(file, 'utf8')).toContain('"data"');
    }));

  it('checks a photograph inside a DICOM file as it checks the photograph', async () => {
    const jpeg = new Uint8Array(await readFile('demo-images/before-frontal.jpg'));
    const { width = 0, height = 0 } = await sharp(jpeg).metadata();
    const dicom = dicomBytes('jpeg', pictureElements({ width, height }, { photometric: 'YBR_FULL_422' }), encapsulated([jpeg]));
    const { checkPhoto } = await loadMeasuring();
    const [outside, inside] = [await checkPhoto({ name: 'a.jpg', bytes: jpeg }, {}), await checkPhoto({ name: 'a.dcm', bytes: dicom }, {})];
    if (!outside.ok || !inside.ok) throw new Error('not checked');
    const { pose, view, interpupillaryPx, mmPerPx, checks } = inside.value;
    expect({ pose, view, interpupillaryPx, mmPerPx, checks }).toEqual({
      pose: outside.value.pose,
      view: outside.value.view,
      interpupillaryPx: outside.value.interpupillaryPx,
      mmPerPx: outside.value.mmPerPx,
      checks: outside.value.checks,
    });
  }, 60_000);
});

describe('refusal', () => {
  it('2: wrong usage, in one sentence', () =>
    withDir(async (dir) => {
      const place = await comparisonDir(dir, 'case');
      for (const args of [
        [],
        [place],
        ['--dicom', join(dir, 'x')],
        [place, place, '--dicom', join(dir, 'x')],
        [place, '--dicom', join(dir, 'x'), '--embed'],
        [place, '--dicom', join(dir, 'x'), '--after-on', 'tomorrow'],
        [place, '--dicom', join(dir, 'x'), '--subject', 'a\\b'],
        [place, '--dicom', join(dir, 'x'), '--subject', 'x'.repeat(65)],
        [place, '--dicom', join(dir, 'x'), '--patient-name', 'a\\b'],
        [place, '--dicom', join(place, 'comparison.json')],
        [place, '--fhir', dir],
      ]) {
        const said = await run('exchange', ...args);
        expect(said, args.join(' ')).toMatchObject({ exit: 2, out: '' });
        oneSentence(said.err);
      }
      expect(await readdir(dir)).toEqual(['case']);
    }));

  it('2: a report without a day says which option gives one', () =>
    withDir(async (dir) => {
      const comparison = exchangeComparison();
      const inputs = comparison.inputs.map((input) => ({ ...input, facts: { ...input.facts, takenAt: null } }));
      const place = await comparisonDir(dir, 'case', { ...comparison, inputs });
      const said = await run('exchange', place, '--dicom', join(dir, 'x'));
      expect(said).toMatchObject({ exit: 2, err: expect.stringContaining('with --after-on.') });
      expect((await run('exchange', place, '--dicom', join(dir, 'x'), '--after-on', '2026-09-01')).exit).toBe(0);
    }));

  it('3: nothing was measured', () =>
    withDir(async (dir) => {
      const place = await comparisonDir(dir, 'case', incomparable());
      const said = await run('exchange', place, '--dicom', join(dir, 'x'));
      expect(said).toMatchObject({ exit: 3, out: '', err: expect.stringContaining('not comparable') });
      oneSentence(said.err);
      expect(await readdir(dir)).toEqual(['case']);
    }));

  it('4: no comparison, a damaged one, one of another form', () =>
    withDir(async (dir) => {
      await mkdir(join(dir, 'case'));
      const call = () => run('exchange', join(dir, 'case'), '--fhir', join(dir, 'x.json'));
      expect(await call()).toMatchObject({ exit: 4, err: expect.stringContaining('holds no comparison.json') });
      await writeFile(join(dir, 'case', 'comparison.json'), '{');
      expect(await call()).toMatchObject({ exit: 4, err: expect.stringContaining('is damaged') });
      await writeFile(join(dir, 'case', 'comparison.json'), '{"schema":"ebbline.comparison/99"}');
      const said = await call();
      expect(said).toMatchObject({ exit: 4, err: expect.stringContaining('no comparison that this version reads') });
      oneSentence(said.err);
    }));
});
