/** The study report: whole, safe, the same every time; its words and figures against the study they are made of. */
import { execFileSync } from 'node:child_process';
import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { parseSvg, type SvgNode } from '#lib/report/pdf/svg-parse.ts';
import { flowFigure } from '#lib/report/study/flow-figure.ts';
import { type ForestRow, forestFigure } from '#lib/report/study/forest-figure.ts';
import { studyBlocks } from '#lib/report/study/study-blocks.ts';
import { studyHtml } from '#lib/report/study/study-html.ts';
import { studyPdf } from '#lib/report/study/study-pdf.ts';
import { summaryWords } from '#lib/report/study/study-summary.ts';
import { gatherStudy } from '#lib/series/study-data.ts';
import { studyStatistics } from '#lib/series/study-statistics.ts';
import type { StudyReport } from '#shared/study.ts';
import { hasProgram } from '#tests/debian-tool.ts';
import { withDir } from '#tests/record/sample-jobs.ts';
import { type SampleStudy, sampleStudy } from '#tests/series/sample-study.ts';

const HASH = 'b'.repeat(64);
function studyOf({ pairs, rows, ratings }: SampleStudy, title = 'A made-up study'): StudyReport {
  const gather = gatherStudy(pairs, ratings);
  rows.forEach((row, i) => void gather.add(row, i + 1));
  const study = studyStatistics(gather.done(), {
    title,
    day: '2026-11-01',
    madeFrom: { resultsSha256: HASH, pairsSha256: HASH, ratingsSha256: null },
    options: { seed: 1, perSubject: 'last', untrusted: 'left-out', against: null, covariate: null, alpha: 0.05 },
  });
  if (!study.ok) throw new Error(study.detail);
  return study.value;
}
const sample = sampleStudy();
const study = studyOf(sample);
const nothing = studyOf({
  pairs: sample.pairs.map((pair) => ({ ...pair, state: 'failed', reasons: ['no-face'], controlTrusted: null })),
  rows: [],
  ratings: [],
});

const walk = (node: SvgNode): SvgNode[] => [node, ...node.children.flatMap((child) => (typeof child === 'string' ? [] : walk(child)))];
const wordsIn = (svg: string): string[] =>
  walk(parseSvg(svg)).flatMap(({ name, children }) => (name === 'text' ? [children.filter((c) => typeof c === 'string').join('')] : []));
const svgsIn = (report: StudyReport): string[] =>
  studyBlocks(report).flatMap((block) =>
    block.kind === 'figures' ? block.figures.map(({ picture }) => ('svg' in picture ? picture.svg : '')) : [],
  );

describe('law', () => {
  it('stands alone: no script, no outside address, and a policy that forbids both', () => {
    const html = studyHtml(study);
    expect(html).toContain("default-src 'none'; style-src 'unsafe-inline'");
    expect(html).not.toMatch(/<script|javascript:|\son\w+=|<link|<img|url\(/i);
    expect(html.replaceAll('http://www.w3.org/2000/svg', '')).not.toMatch(/https?:/);
  });

  it('is the same text and the same bytes every time', async () => {
    expect(studyHtml(study)).toBe(studyHtml(study));
    const [one, other] = [await studyPdf(study), await studyPdf(study)];
    expect(Buffer.from(one.bytes).equals(Buffer.from(other.bytes))).toBe(true);
    expect(one.replaced).toBe(false);
  });

  it('says what the data cannot carry instead of a number that is none', async () => {
    for (const report of [study, nothing]) {
      const html = studyHtml(report);
      expect(html.replace(/<style>[\s\S]*?<\/style>/, '')).not.toMatch(/NaN|undefined|Infinity|>null</);
    }
    expect(studyHtml(nothing)).toContain('No pair was measured');
    expect((await studyPdf(nothing)).pages).toBeGreaterThan(0);
  });

  it('draws every figure with words for those who cannot see it, and nothing outside its frame', () => {
    const svgs = svgsIn(study);
    expect(svgs).toHaveLength(9); // flow, two of agreement, two forests, two courses, two of ROC
    for (const svg of svgs) {
      const root = parseSvg(svg);
      expect(root.attributes.role).toBe('img');
      const title = root.children.find((child) => typeof child !== 'string' && child.name === 'title') as SvgNode;
      expect(String(title.children[0]).length).toBeGreaterThan(40);
      expect(svg).not.toMatch(/NaN|<style|class=/);
      for (const { attributes } of walk(root).filter(({ name }) => name === 'circle'))
        expect(Number(attributes.cx) >= 0 && Number(attributes.cx) <= Number(root.attributes.width)).toBe(true);
    }
  });

  it('marks by shape what survives correction, and writes every mean as the study has it', () => {
    const rows = study.change.filter((row): row is ForestRow => row.metric === 'volumeMl' && row.answer.ok);
    const svg = forestFigure('volumeMl', rows);
    const words = wordsIn(svg);
    for (const { answer } of rows) {
      const mean = `${Math.abs(answer.mean).toFixed(3)} (`;
      expect(words.some((text) => text.includes(mean))).toBe(true);
    }
    const firm = rows.filter(({ answer }) => answer.pHolm !== null && answer.pHolm < 0.05);
    expect(firm.map(({ zone }) => zone)).toEqual(['midface-left', 'midface-right']);
    const dots = walk(parseSvg(svg)).filter(({ attributes }) => attributes['data-mark'] === 'dot');
    expect(dots[0].children).toHaveLength(firm.length);
    expect(dots[1].children).toHaveLength(rows.length - firm.length - rows.filter(({ reference }) => reference).length);
  });

  it('accounts in the flow chart for the pairs of the study', () => {
    const words = wordsIn(flowFigure(study.flow)).join('\n');
    const { change, repeat } = study.flow;
    expect(words).toContain(`change: ${change.pairs}, repeats: ${repeat.pairs}`);
    expect(words).toContain(`change: ${change.used} from ${change.subjects} subjects`);
    expect(words).toContain(`${change.notComparable + repeat.notComparable} pairs not comparable`);
  });

  it('takes labels for words, whatever they hold and however long they are', async () => {
    const evil = '<img src=x onerror=alert(1)> & "long" \u0394 '.repeat(2).slice(0, 80);
    const renamed: SampleStudy = {
      pairs: sample.pairs.map((pair) => ({ ...pair, group: pair.group === 'slow' ? evil : pair.group })),
      rows: sample.rows,
      ratings: sample.ratings.map((row) => ({ ...row, rater: row.rater === 'A' ? evil : row.rater })),
    };
    const report = studyOf(renamed, evil);
    const html = studyHtml(report);
    expect(html).not.toContain('<img');
    expect(html).toContain('&lt;img src=x onerror=alert(1)&gt;');
    expect((await studyPdf(report)).replaced).toBe(false);
  });

  it('names the zones that changed in its first words, and no others', () => {
    const [volume] = summaryWords(study).rest;
    expect(volume).toContain('Midface, left');
    expect(volume).not.toContain('Submalar');
    expect(summaryWords(nothing).rest[0]).toContain('no zone could be tested');
  });
});

const poppler = ['pdftotext', 'pdffonts', 'pdfinfo'].every(hasProgram);

describe.skipIf(!poppler)('oracle: poppler reads the PDF (skipped where poppler-utils is not installed)', () => {
  let said = { text: '', fonts: '', info: '', structure: '' };
  beforeAll(() =>
    withDir(async (dir) => {
      const path = join(dir, 'study.pdf');
      await writeFile(path, (await studyPdf(study)).bytes);
      const run = (program: string, ...args: string[]): string => execFileSync(program, args, { encoding: 'utf8' });
      said = {
        text: run('pdftotext', '-layout', path, '-'),
        fonts: run('pdffonts', path),
        info: run('pdfinfo', path),
        structure: run('pdfinfo', '-struct', path),
      };
    }),
  );

  it('tagged, titled, with every typeface set in and the date of the study', () => {
    expect(said.info).toMatch(/Title:\s+A made-up study/);
    expect(said.info).toMatch(/Tagged:\s+yes/);
    expect(said.info).toMatch(/CreationDate:\s+.*2026/);
    for (const line of said.fonts.trim().split('\n').slice(2)) expect(line).toMatch(/yes yes yes/);
    expect(said.structure.match(/^\s*Figure/gm)).toHaveLength(9);
    expect(said.structure.match(/^\s*Table/gm)!.length).toBeGreaterThan(8);
  });

  it('with the words and numbers of the study', () => {
    for (const words of [
      'A made-up study',
      'Where the data went',
      'How well the measurement repeats',
      'Subjects for the next study',
      'Midface, left',
    ])
      expect(said.text).toContain(words);
    const midface = study.change.find(({ zone, metric }) => zone === 'midface-left' && metric === 'volumeMl')!.answer;
    expect(said.text).toContain(midface.ok && `\u2212${Math.abs(midface.mean).toFixed(3)}`);
  });
});
