/** The clinician's report of a comparison as a PDF, read back with poppler and qpdf. */
import { describe, expect, it } from 'vitest';
import { headline } from '#lib/report/headline.ts';
import { type WrittenPdf, writePdf } from '#lib/report/pdf/write-pdf.ts';
import { comparisonReport } from '#lib/report/print/comparison-report.ts';
import { contentSha256, DRAFT_WORDS } from '#lib/report/print/stamp.ts';
import { STANDING_CAUTIONS } from '#shared/cautions.ts';
import { findingSentence } from '#shared/finding-words.ts';
import {
  bodyWords,
  contentStreams,
  fontsOf,
  hasReaders,
  imagesOf,
  infoOf,
  pageWords,
  structureOf,
  syntaxCheck,
  untagged,
} from '#tests/report/pdf/pdf-reader.ts';
import { incomparable } from '#tests/report/sample-comparison.ts';
import { longestContent, SIGNED, sampleContent, sampleStamp, sampleSubject } from './sample-report.ts';

const written = await sampleContent().then(async (content) => writePdf(comparisonReport(content, sampleStamp())));
const longest: WrittenPdf = await longestContent().then(async (content) => writePdf(comparisonReport(content, sampleStamp())));
const plain = (text: string): string => text.replace(/[\s\u00a0]+/g, ' ').trim();

describe('law', () => {
  it('has the same bytes for the same comparison, and others when one number differs', async () => {
    const content = await sampleContent();
    expect(Buffer.from((await writePdf(comparisonReport(content, sampleStamp()))).bytes).equals(Buffer.from(written.bytes))).toBe(true);
    const other = structuredClone(content);
    other.comparison.zones[7]!.metrics.volumeMl!.value -= 0.01;
    expect(Buffer.from((await writePdf(comparisonReport(other, sampleStamp()))).bytes).equals(Buffer.from(written.bytes))).toBe(false);
  });

  it('hashes all that it says and every photograph', async () => {
    const content = await sampleContent();
    const hash = contentSha256(content);
    expect(contentSha256(structuredClone(content))).toBe(hash);
    expect(contentSha256({ ...content, subject: sampleSubject({ code: 'MF-015' }) })).not.toBe(hash);
    const views = structuredClone(content.views);
    views[0]!.pictures.before![100]! ^= 1;
    expect(contentSha256({ ...content, views })).not.toBe(hash);
  });

  it('leaves what it is given as it was', async () => {
    const content = await sampleContent();
    const copy = structuredClone(content);
    await writePdf(comparisonReport(content, sampleStamp()));
    expect(content).toEqual(copy);
  });
});

describe.skipIf(!hasReaders)('oracle: poppler and qpdf (skipped without poppler-utils and qpdf)', () => {
  it('is a tagged PDF 1.7 with title and date, whose syntax qpdf accepts', () => {
    const info = infoOf(written.bytes);
    expect(info).toMatchObject({
      Tagged: 'yes',
      'PDF version': '1.7',
      JavaScript: 'no',
      Title: 'Comparison report: case MF-014, version 1 (draft)',
    });
    expect(info.CreationDate).toContain('Nov 24 09:30:00 2026');
    expect(Number(info.Pages)).toBe(written.pages);
    for (const { bytes } of [written, longest]) {
      const { status, out } = syntaxCheck(bytes);
      expect(out).toContain('No syntax or stream encoding errors');
      expect(status).toBe(0);
    }
  });

  it('embeds every typeface, with the letters behind its shapes', () => {
    const fonts = fontsOf(longest.bytes);
    expect(fonts.length).toBeGreaterThan(2);
    expect(fonts.filter(({ embedded, unicode }) => !embedded || !unicode)).toEqual([]);
  });

  it('draws nothing outside of its structure', () => {
    for (const { bytes } of [written, longest]) {
      const streams = contentStreams(bytes);
      expect(streams.length).toBeGreaterThan(2);
      expect(streams.flatMap(untagged)).toEqual([]);
    }
    expect(untagged('/P <</MCID 0>> BDC\n(x) Tj\nEMC\n(lost) Tj')).toEqual(['(lost) Tj']);
  });

  it('steps its headings down one level at a time', () => {
    for (const { bytes } of [written, longest]) {
      const levels = [...structureOf(bytes).matchAll(/^\s*H([1-6]) \(block\)/gm)].map((match) => Number(match[1]));
      expect(levels[0]).toBe(1);
      expect(levels.filter((level, k) => k > 0 && level > levels[k - 1]! + 1)).toEqual([]);
    }
  });

  it('says every finding, the answer, each check that was noted and each standing caution, in one reading order', async () => {
    const content = await sampleContent();
    const { comparison } = content;
    const words = bodyWords(written.bytes, comparisonReport(content, sampleStamp()));
    const expected = [
      headline(comparison),
      ...comparison.zones.filter((zone) => zone.finding === 'beyond-error').map(findingSentence),
      ...comparison.zones.filter((zone) => zone.finding !== 'beyond-error' && !zone.reference).map(findingSentence),
      comparison.control.statement,
      comparison.versions.parametersSha256.slice(0, 20),
      sampleStamp().contentSha256.slice(0, 20),
    ].map(plain);
    expect(expected.filter((text) => !words.includes(text))).toEqual([]);
    const places = [
      'Zones, strongest evidence first',
      'Findings in words',
      'From the front',
      'Evidence along a line',
      'Checks of the photographs',
      'Scale, error',
      'Made with',
      'Not signed',
    ].map((text) => words.indexOf(text));
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(places.every((place) => place > 0)).toBe(true);
    expect(words).toContain('Keep the lamps where they were.');
  });

  it('prints each caution of the comparison', async () => {
    const content = await sampleContent();
    const bytes = (
      await writePdf(
        comparisonReport({ ...content, comparison: { ...content.comparison, cautions: [...STANDING_CAUTIONS] } }, sampleStamp()),
      )
    ).bytes;
    const words = pageWords(bytes).join(' ');
    expect(STANDING_CAUTIONS.filter(({ text }) => !words.includes(plain(text)))).toEqual([]);
  });

  it('gives every picture words in its place, and every table heading cells', () => {
    const source = Buffer.from(written.bytes).toString('latin1');
    const figures = source.match(/\/S \/Figure\b/g) ?? [];
    expect(figures.length).toBeGreaterThan(20);
    const withAlt = source.match(/\/S \/Figure\n\/Alt \(/g) ?? source.match(/\/S \/Figure\s+\/Alt/g) ?? [];
    expect(withAlt).toHaveLength(figures.length);
    expect(source.match(/\/Scope \/Column/g)!.length).toBeGreaterThan(8);
    expect(source.match(/\/Scope \/Row/g)!.length).toBeGreaterThan(28);
  });

  it('carries photographs as the JPEG they came as, and each only once', async () => {
    const images = imagesOf(written.bytes);
    expect(images).toHaveLength(7);
    expect(images.every(({ encoding, width, height }) => encoding === 'jpeg' && width === 60 && height === 80)).toBe(true);
    const { views } = await sampleContent();
    expect(Buffer.from(written.bytes).includes(Buffer.from(views[0]!.pictures.afterRelit!))).toBe(true);
  });

  it('says that it is a draft on every page, and when signed on none', async () => {
    for (const page of pageWords(longest.bytes)) expect(page).toContain(DRAFT_WORDS);
    const signed = await writePdf(
      comparisonReport(
        await sampleContent(),
        sampleStamp({ signed: SIGNED, version: 2, replaces: { version: 1, sha256: 'e'.repeat(64), signed: SIGNED } }),
      ),
    );
    const pages = pageWords(signed.bytes);
    expect(pages.filter((page) => page.includes(DRAFT_WORDS))).toEqual([]);
    for (const page of pages) expect(page).toContain('signed 2026-11-24 10:00 UTC by Dr Ada Example');
    expect(pages.join(' ')).toContain('Version 2 takes the place of version 1, signed by Dr Ada Example on 2026-11-24 10:00 UTC');
    expect(infoOf(signed.bytes).Title).toBe('Comparison report: case MF-014, version 2');
  });

  it('numbers its pages, and keeps the longest of reports whole', () => {
    const pages = pageWords(longest.bytes);
    expect(pages).toHaveLength(longest.pages);
    pages.forEach((page, k) => expect(page).toContain(`Page ${k + 1} of ${pages.length}`));
    expect(pages.join(' ').replaceAll(' ', '')).toContain('A'.repeat(32));
  });

  it('never carries the name unless it was asked for, nor what a photograph was called', async () => {
    const content = await sampleContent();
    expect(pageWords(written.bytes).join(' ')).not.toContain('before.jpg');
    const named = await writePdf(comparisonReport({ ...content, subject: sampleSubject({ name: 'Grace Hopper' }) }, sampleStamp()));
    expect(pageWords(named.bytes).join(' ')).toContain('Grace Hopper');
    expect(infoOf(named.bytes).Title).not.toContain('Hopper');
  });

  it('survives a title that would break its metadata', async () => {
    const content = await sampleContent();
    const { bytes } = await writePdf(
      comparisonReport({ ...content, subject: { title: 'Me & <you> \u2019"' } }, sampleStamp({ version: null })),
    );
    expect(infoOf(bytes).Title).toBe('Comparison report: Me & <you> \u2019" (draft)');
    expect(Buffer.from(bytes).toString('latin1')).toContain('Me &amp; &lt;you&gt;');
  });
});

describe('refusal', () => {
  it('says why photographs were not comparable, and shows no table', async () => {
    const { bytes } = await writePdf(
      comparisonReport({ ...(await sampleContent()), comparison: incomparable(), evidence: null }, sampleStamp()),
    );
    if (!hasReaders) return expect(bytes.length).toBeGreaterThan(1000);
    const words = pageWords(bytes).join(' ');
    expect(words).toContain('Photograph both times from the same distance.');
    expect(words).not.toContain('Zones, strongest evidence first');
  });
});
