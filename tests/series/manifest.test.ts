/** Manifests: good ones become pairs and grades, bad rows are named with their reason, and the form in docs/series is the one that is read. */
import { readFileSync } from 'node:fs';
import Ajv from 'ajv/dist/2020.js';
import addFormats from 'ajv-formats';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readManifest } from '#lib/series/manifest.ts';
import { MANIFEST_SCHEMA } from '#lib/series/manifest-row.ts';
import { manifestJsonSchema } from '#lib/series/manifest-schema.ts';
import type { ManifestFaultCode } from '#lib/series/manifest-visits.ts';
import { manifestCsv, proposeManifest } from '#lib/series/propose-manifest.ts';
import { insideFolder } from '#shared/inside-folder.ts';
import { seriesPairSchema } from '#shared/series.ts';

const HEAD = 'subject,visit,date,view,file,role,group,treatedOn,zones,repeatOf';
const csv = (...lines: string[]): string => [HEAD, ...lines].join('\n');
const BASE = 'a,v1,2026-03-01,,a/1.jpg,baseline,,,,';
const FOLLOW = 'a,v2,2026-05-01,,a/2.jpg,follow-up,,,,';
const all: (file: string) => boolean = () => true;
const read = (text: string, has = all) => {
  const outcome = readManifest(text, 'csv', has);
  if (!outcome.ok) throw new Error(outcome.detail);
  return outcome.value;
};
const docs = (name: string): string => readFileSync(`docs/series/${name}`, 'utf8');

describe('law: a manifest becomes pairs', () => {
  it('pairs each follow-up with the baseline and each repeat with its visit, in any order of rows', () => {
    const rows = [
      'a,v2,2026-05-01,frontal,a/2.jpg,follow-up,treated,2026-03-10,midface-left;chin,',
      'a,v1,2026-03-01,frontal,a/1.jpg,baseline,treated,,,',
      'a,v1,2026-03-01,oblique-left,a/1l.jpg,baseline,,,,',
      'a,v3,2026-09-01,,a/3.jpg,follow-up,,,,',
      'a,v2r,2026-05-01,,a/2r.jpg,repeat,,,,v2',
      'a,v1r,2026-03-01,,a/1r.jpg,repeat,,,,',
    ];
    const { pairs, faults, goodRows } = read(csv(...rows));
    expect(faults).toEqual([]);
    expect(goodRows).toBe(6);
    expect(pairs.map(({ pair, kind }) => [pair, kind])).toEqual([
      ['a/v1/v2', 'change'],
      ['a/v1/v3', 'change'],
      ['a/v2/v2r', 'repeat'],
      ['a/v1/v1r', 'repeat'],
    ]);
    expect(pairs[0]).toEqual({
      pair: 'a/v1/v2',
      kind: 'change',
      subject: 'a',
      group: 'treated',
      beforeVisit: 'v1',
      afterVisit: 'v2',
      beforeOn: '2026-03-01',
      afterOn: '2026-05-01',
      treatedOn: '2026-03-10',
      concernZones: ['midface-left', 'chin'],
      before: [
        { file: 'a/1.jpg', view: 'frontal' },
        { file: 'a/1l.jpg', view: 'oblique-left' },
      ],
      after: [{ file: 'a/2.jpg', view: 'frontal' }],
    });
    for (const pair of pairs) expect(seriesPairSchema.parse(pair)).toEqual(pair);
    const orders = fc.sample(fc.shuffledSubarray(rows, { minLength: rows.length }), { numRuns: 20, seed: 1 });
    const ids = (order: readonly string[]) =>
      read(csv(...order))
        .pairs.map(({ pair }) => pair)
        .sort();
    expect(orders.filter((order) => ids(order).join() !== ids(rows).join())).toEqual([]);
  });

  it('reads semicolons, tabs, a byte order mark, Windows line ends and quoted cells; and says the right line', () => {
    const semicolons = `\uFEFF${csv(BASE, FOLLOW).replaceAll(',', ';').replaceAll('\n', '\r\n')}\r\n`;
    expect(read(semicolons).pairs).toHaveLength(1);
    expect(read(csv(BASE, FOLLOW).replaceAll(',', '\t')).pairs).toHaveLength(1);
    const broken = csv(BASE, '"a","v ""2""\nx",2026-05-01,,a/2.jpg,follow-up,,,,', '', 'a,v3,2026-02-31,,a/3.jpg,follow-up,,,,', FOLLOW);
    expect(read(broken).faults.map(({ line, code }) => [line, code])).toEqual([
      [3, 'cell'],
      [6, 'cell'],
    ]);
  });

  it('reads the grades of raters from the rows of follow-ups', () => {
    const text = [
      `${HEAD},rater:A,rater:A:chin,rater:B`,
      `${BASE},,,`,
      `${FOLLOW},-3,1,`,
      'a,v3,2026-06-01,,a/3.jpg,follow-up,,,,,0,,4',
    ].join('\n');
    const { ratings, faults } = read(text);
    expect(faults).toEqual([]);
    expect(ratings).toEqual([
      { pair: 'a/v1/v2', rater: 'A', zone: null, grade: -3 },
      { pair: 'a/v1/v2', rater: 'A', zone: 'chin', grade: 1 },
      { pair: 'a/v1/v3', rater: 'A', zone: null, grade: 0 },
      { pair: 'a/v1/v3', rater: 'B', zone: null, grade: 4 },
    ]);
  });

  it('says the same in JSON as in CSV', () => {
    const photographs = [
      { subject: 'a', visit: 'v1', date: '2026-03-01', file: 'a/1.jpg', role: 'baseline', zones: ['chin'] },
      { subject: 'a', visit: 'v2', date: '2026-05-01', file: 'a/2.jpg', role: 'follow-up', 'rater:A': -1 },
    ];
    const json = readManifest(JSON.stringify({ schema: MANIFEST_SCHEMA, photographs }), 'json', all);
    const text = [`${HEAD},rater:A`, 'a,v1,2026-03-01,,a/1.jpg,baseline,,,chin,,', `${FOLLOW},-1`].join('\n');
    expect(json.ok && json.value).toEqual(read(text));
  });
});

describe('law: what stands in docs/series', () => {
  it('the example is read without a remark, and shows every column', () => {
    const { faults, pairs, ratings } = read(docs('example.csv'));
    expect(faults).toEqual([]);
    expect(new Set(pairs.map(({ kind }) => kind)).size).toBe(2);
    expect(ratings.length).toBeGreaterThan(1);
    const [head, ...lines] = docs('example.csv')
      .trim()
      .split('\n')
      .map((line) => line.split(','));
    expect(head!.filter((_, k) => lines.every((cells) => cells[k]!.trim() === ''))).toEqual([]);
  });
  it('the JSON example fits the schema file, which is the one that the program would write, and is read without a remark', () => {
    expect(JSON.parse(docs('manifest.schema.json'))).toEqual(JSON.parse(JSON.stringify(manifestJsonSchema())));
    const ajv = new Ajv({ strict: false });
    addFormats(ajv);
    const fits = ajv.compile(JSON.parse(docs('manifest.schema.json')));
    const example = JSON.parse(docs('example.json'));
    expect([fits(example), fits.errors]).toEqual([true, null]);
    const outcome = readManifest(docs('example.json'), 'json', all);
    expect(outcome.ok && outcome.value.faults).toEqual([]);
    example.photographs[0].role = 'before';
    expect(fits(example)).toBe(false);
  });
});

describe('refusal: rows', () => {
  const wrong: Readonly<
    Record<ManifestFaultCode, Readonly<{ rows: string[]; line: number; says: RegExp; pairs?: number; absent?: string }>>
  > = {
    cell: { rows: ['a,v3,2026-02-31,,a/3.jpg,follow-up,,,,'], line: 4, says: /"date" is "2026-02-31", which is no day/ },
    'cell-count': { rows: ['a,v3,2026-06-01'], line: 4, says: /3 cells, the first row 10/ },
    'file-outside': { rows: ['a,v3,,,../a/3.jpg,follow-up,,,,'], line: 4, says: /leads out of the manifest's folder/ },
    'file-missing': { rows: ['a,v3,,,a/3.jpg,follow-up,,,,'], line: 4, says: /no file "a\/3\.jpg"/, absent: 'a/3.jpg' },
    'same-file': { rows: ['a,v3,,,a/1.jpg,follow-up,,,,'], line: 4, says: /stands in row 2 already/ },
    'duplicate-view': {
      rows: ['b,v1,,frontal,b/1.jpg,baseline,,,,', 'b,v1,,frontal,b/2.jpg,baseline,,,,'],
      line: 5,
      says: /a frontal view in the visit "v1" of b already/,
    },
    'too-many-views': {
      rows: [1, 2, 3, 4, 5, 6].map((k) => `b,v1,,,b/${k}.jpg,baseline,,,,`),
      line: 9,
      says: /more than 5 photographs/,
    },
    'visit-disagrees': {
      rows: ['a,v2,2026-05-02,,a/3.jpg,follow-up,,,,'],
      line: 4,
      says: /"date" of the visit "v2" of a is 2026-05-01 above/,
    },
    'group-disagrees': {
      rows: ['b,v1,,,b/1.jpg,baseline,x,,,', 'b,v2,,,b/2.jpg,follow-up,y,,,'],
      line: 5,
      says: /in group "x" above and in "y" here/,
    },
    'two-baselines': { rows: ['a,v0,2026-02-01,,a/0.jpg,baseline,,,,'], line: 4, says: /has a baseline already, the visit "v1"/ },
    'no-baseline': { rows: ['b,v2,,,b/2.jpg,follow-up,,,,'], line: 4, says: /b has no baseline/ },
    'no-such-visit': { rows: ['a,r,,,a/r.jpg,repeat,,,,v9'], line: 4, says: /repeats a visit "v9"/ },
    'repeat-of-repeat': {
      rows: ['a,r,,,a/r.jpg,repeat,,,,v1', 'a,rr,,,a/rr.jpg,repeat,,,,r'],
      line: 5,
      says: /which is a repeat itself/,
      pairs: 2,
    },
    'wrong-order': { rows: ['a,v3,2026-02-01,,a/3.jpg,follow-up,,,,'], line: 4, says: /dated before its baseline/ },
    'repeat-too-late': { rows: ['a,r,2026-03-09,,a/r.jpg,repeat,,,,v1'], line: 4, says: /lies 8 days away from the visit "v1"/ },
    grade: { rows: [], line: 3, says: /"rater:A" is "5"\. A grade is a whole number from -4/ },
    'grade-place': { rows: [], line: 2, says: /stands on a baseline/ },
    'grade-disagrees': {
      rows: ['a,v2,,oblique-left,a/2l.jpg,follow-up,,,,'],
      line: 4,
      says: /is 1 on another row of this visit and 2 here/,
    },
  };
  const GRADES: Readonly<Record<string, string[]>> = { grade: ['', '5'], 'grade-place': ['1', ''], 'grade-disagrees': ['', '1', '2'] };
  for (const [code, { rows, line, says, pairs = 1, absent }] of Object.entries(wrong))
    it(`${code}: the row is named with its reason, and the good rows still run`, () => {
      const grades = GRADES[code];
      const lines = [HEAD, BASE, FOLLOW, ...rows];
      const text = (grades ? lines.map((one, k) => `${one},${k === 0 ? 'rater:A' : grades[k - 1]}`) : lines).join('\n');
      const manifest = read(text, (file) => file !== absent);
      expect(manifest.faults.map((fault) => [fault.line, fault.code])).toEqual([[line, code]]);
      expect(manifest.faults[0]!.message).toMatch(says);
      expect(manifest.pairs).toHaveLength(pairs);
    });

  it('names every cell of a row that does not fit, with what would', () => {
    const { faults } = read(csv(BASE, FOLLOW, '=a,v/3,soon,behind,,after,,yesterday,cheek,'));
    expect(faults).toHaveLength(8);
    for (const words of [
      '"subject"',
      '"visit"',
      '"date"',
      '"view"',
      '"file" is empty',
      '"role" is "after"',
      '"treatedOn"',
      'no zone "cheek"',
    ])
      expect(faults.map(({ message }) => message).join('\n')).toContain(words);
  });
});

describe('refusal: manifests', () => {
  const bad: readonly Readonly<{ name: string; text: string; json?: true; why: string; says: RegExp }>[] = [
    { name: 'nothing', text: HEAD, why: 'empty', says: /holds no photographs/ },
    { name: 'an unknown column', text: csv(BASE).replace('group', 'grp'), why: 'columns', says: /column "grp" that is not known/ },
    { name: 'a missing column', text: 'subject,visit,file\na,b,c', why: 'columns', says: /no column "role"/ },
    { name: 'a column twice', text: `${HEAD},file\n${BASE},x`, why: 'columns', says: /column "file" twice/ },
    { name: 'a quote that never ends', text: csv('"a,b'), why: 'not-a-manifest', says: /no CSV that can be read/ },
    { name: 'no JSON', text: 'x', json: true, why: 'not-a-manifest', says: /no JSON.*"photographs": \[/ },
    { name: 'other JSON', text: '{"rows": []}', json: true, why: 'not-a-manifest', says: /has the form/ },
    { name: 'a baseline alone', text: csv(BASE), why: 'no-pairs', says: /leaves no pair/ },
    { name: 'nothing but faults', text: csv('b,v2,,,b/2.jpg,follow-up,,,,'), why: 'no-pairs', says: /row 2: b has no baseline/ },
  ];
  for (const { name, text, json, why, says } of bad)
    it(name, () => {
      const outcome = readManifest(text, json ? 'json' : 'csv', all);
      expect(outcome).toMatchObject({ ok: false, why, detail: expect.stringMatching(says) });
    });

  it('no file name leads out of the folder, whatever the system', () => {
    const names = ['/etc/x', '../x', 'a/../../x', 'a/..', '..', 'C:/x', 'c:x', 'a\\..\\x', 'a//x', './x', 'a/\0x', ''];
    expect(names.filter(insideFolder)).toEqual([]);
    expect(['x.jpg', 'a/b/c.jpg', 'a b/é (1).jpg', '..x/y', 'a/...jpg'].filter((name) => !insideFolder(name))).toEqual([]);
  });
});

describe('law: a proposed manifest', () => {
  const photo = (file: string, takenAt: string | null, view: 'frontal' | 'oblique-left' | null = 'frontal') => ({ file, takenAt, view });
  it('tells visits apart by day, the earliest being the baseline, and same views of one day are repeats', () => {
    const { rows, remarks } = proposeManifest([
      photo('a/z.jpg', '2026-05-01T09:00:00'),
      photo('a/y.jpg', '2026-03-01T10:20:00'),
      photo('a/x.jpg', '2026-03-01T10:00:00'),
      photo('a/l.jpg', '2026-03-01T10:00:00', 'oblique-left'),
    ]);
    expect(remarks).toEqual([]);
    expect(rows.map(({ file, visit, role, repeatOf }) => [file, visit, role, repeatOf])).toEqual([
      ['a/l.jpg', '2026-03-01', 'baseline', null],
      ['a/x.jpg', '2026-03-01', 'baseline', null],
      ['a/y.jpg', '2026-03-01 repeat 1', 'repeat', '2026-03-01'],
      ['a/z.jpg', '2026-05-01', 'follow-up', null],
    ]);
    expect(read(manifestCsv(rows)).pairs.map(({ pair }) => pair)).toEqual(['a/2026-03-01/2026-03-01 repeat 1', 'a/2026-03-01/2026-05-01']);
  });
  it('takes days from names and visits from folders where the camera says nothing, and remarks on it', () => {
    const { rows, remarks } = proposeManifest([
      photo('a/visit 10/f.jpg', null),
      photo('a/visit 2/f.jpg', null),
      photo('b/2026-03-01/f.jpg', null),
      photo('b/f 2026-04-01.jpg', null),
      photo('c/1.jpg', '2026-03-01T10:00:00'),
      photo('c/2.jpg', null, null),
      photo('stray.jpg', null),
    ]);
    expect(rows.map(({ subject, visit, date, role }) => [subject, visit, date, role])).toEqual([
      ['a', 'visit 2', null, 'baseline'],
      ['a', 'visit 10', null, 'follow-up'],
      ['b', '2026-03-01', '2026-03-01', 'baseline'],
      ['b', '2026-04-01', '2026-04-01', 'follow-up'],
      ['c', '2026-03-01', '2026-03-01', 'baseline'],
    ]);
    expect(remarks.join('\n')).toMatch(
      /c\/2\.jpg shows no face[\s\S]*stray\.jpg lies in no subject[\s\S]*a: "visit 2", "visit 10" says no day[\s\S]*c has one visit/,
    );
  });
});
