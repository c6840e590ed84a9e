/**
 * A Comparison as DICOM files, looked at with other people's readers: dicom3tools, dcmtk and pydicom.
 */
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { photographInDicom } from '#lib/photo/dicom.ts';
import { decimalText } from '#lib/report/dicom/content-items.ts';
import { type DicomFile, dicomOfComparison } from '#lib/report/dicom/dicom-of-comparison.ts';
import { OWN_CODES, OWN_SCHEME, OWN_SCHEME_UID, zoneCodes } from '#lib/report/exchange/codes.ts';
import { derivedUid, derivedUuid } from '#lib/report/exchange/derived-id.ts';
import type { ExchangeFacts, ExchangePhotograph } from '#lib/report/exchange/facts.ts';
import { METRIC_IDS } from '#shared/comparison.ts';
import { ZONE_IDS } from '#shared/zones.ts';
import { hasProgram, hasPython, pythonJson, runProgram } from '#tests/debian-tool.ts';
import { exchangeComparison, exchangePhotographs } from '#tests/report/exchange-sample.ts';
import { incomparable } from '#tests/report/sample-comparison.ts';

const comparison = exchangeComparison();
const folder = mkdtempSync(join(tmpdir(), 'ebbline-dicom-report-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const path = (name: string): string => join(folder, name);
let photographs: ExchangePhotograph[] = [];

function written(facts: ExchangeFacts = { subject: 'P-0815' }, given = photographs, from = comparison): readonly DicomFile[] {
  const files = dicomOfComparison(from, given, facts);
  if (!files.ok) throw new Error(files.detail);
  return files.value;
}

beforeAll(async () => {
  photographs = await exchangePhotographs(comparison);
  for (const { name, bytes } of written()) writeFileSync(path(name), bytes);
});

describe('law', () => {
  it('same inputs, same bytes; another subject, other identifiers', () => {
    const few = { ...comparison, zones: comparison.zones.slice(0, 4) };
    const [first, second, other] = ['P-1', 'P-1', 'P-2'].map((subject) => written({ subject }, photographs, few));
    first.forEach(({ name, bytes }, k) => {
      expect(second[k].name).toBe(name);
      expect(Buffer.from(second[k].bytes).equals(Buffer.from(bytes))).toBe(true);
      expect(Buffer.from(other[k].bytes).equals(Buffer.from(bytes))).toBe(false);
    });
  });

  it('carries every photograph byte for byte, readable here again, with its day, camera and side', () => {
    const names = photographs.map(({ role, view }) => `${role}-${view}.dcm`);
    expect(readdirSync(folder).sort()).toEqual([...names, 'report.dcm'].sort());
    expect(new Set(photographs.map(({ jpeg }) => jpeg.length % 2)).size).toBe(2);
    for (const { role, view, jpeg } of photographs) {
      const inside = photographInDicom(new Uint8Array(readFileSync(path(`${role}-${view}.dcm`))), 'a.dcm');
      if (!inside.ok) throw new Error(inside.detail);
      expect(Buffer.from(inside.value.bytes).equals(Buffer.from(jpeg))).toBe(true);
      expect(inside.value).toMatchObject({
        takenAt: role === 'before' ? '2026-09-01T10:00:00' : '2026-11-20T10:00:00',
        camera: 'Camera <One>',
        laterality: { frontal: 'both', 'oblique-left': 'left', 'oblique-right': 'right' }[view as 'frontal'],
      });
    }
  });

  it('writes without photographs, and then refers to none', () => {
    const files = written({}, []);
    expect(files.map(({ name }) => name)).toEqual(['report.dcm']);
    expect(Buffer.from(files[0].bytes).includes('1.2.840.10008.5.1.4.1.1.77.1.4')).toBe(false);
  });

  it('has codes that DICOM can hold, each with one meaning', () => {
    expect(OWN_CODES.length).toBeGreaterThan(50);
    for (const { value, meaning, scheme } of OWN_CODES) {
      expect(scheme).toBe(OWN_SCHEME);
      expect(value).toMatch(/^[a-z0-9-]{1,16}$/);
      expect(meaning.length).toBeLessThanOrEqual(64);
    }
    const zones = ZONE_IDS.map(zoneCodes).map(({ zone, side }) => `${zone.value} ${side?.value}`);
    expect(new Set(zones).size).toBe(ZONE_IDS.length);
  });

  it('is documented, every code', () => {
    const text = readFileSync('docs/exchange.md', 'utf8');
    const rows = new Map(
      [...text.matchAll(/^\|.*?\| `([a-z0-9-]+)` +\| (.+?) +\|/gm), ...text.matchAll(/^\| `([a-z0-9-]+)` +\| (.+?) +\|$/gm)].map(
        ([, code, meaning]) => [code, meaning],
      ),
    );
    expect(OWN_CODES.filter(({ value }) => !rows.has(value)).map(({ value }) => value)).toEqual([]);
    for (const id of ZONE_IDS)
      expect(rows.get(zoneCodes(id).zone.value)).toBe(`${zoneCodes(id).region.value} ${zoneCodes(id).region.meaning}`);
    expect(text).toContain(OWN_SCHEME_UID);
  });

  it('writes decimals of at most 16 characters, as near as they can be', () => {
    for (const value of [0, -1.04, 1 / 3, -1 / 3, 1e-300, -1.23456789e-7, 123456789.123456789, -0.00001234567890123])
      expect(Math.abs(Number(decimalText(value)) - value)).toBeLessThanOrEqual(Math.abs(value) * 1e-8);
    expect(decimalText(-2 / 3).length).toBeLessThanOrEqual(16);
    expect(() => decimalText(Number.NaN)).toThrow(RangeError);
  });

  it('makes identifiers of the form that the standards ask for', () => {
    expect(derivedUuid('a')).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-8[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
    expect(derivedUid('a')).toMatch(/^2\.25\.[1-9]\d{0,38}$/);
    expect(derivedUid('ab', 'c')).not.toBe(derivedUid('a', 'bc'));
  });
});

/** The same comparison as cameras and users leave it: without times, without a day of the first visit, in other codings. */
async function variants(): Promise<Record<string, readonly DicomFile[]>> {
  const few = { ...comparison, zones: comparison.zones.slice(0, 4) };
  const timeless = {
    ...few,
    inputs: comparison.inputs.map((input) => ({ ...input, facts: { ...input.facts, takenAt: null, camera: null } })),
  };
  const full = await sharp({ create: { width: 211, height: 302, channels: 3, background: '#c97' } })
    .jpeg({ quality: 95, chromaSubsampling: '4:4:4' })
    .toBuffer();
  const given = (from: typeof comparison, pictures: readonly ExchangePhotograph[], facts: ExchangeFacts): readonly DicomFile[] => {
    const files = dicomOfComparison(from, pictures, facts);
    if (!files.ok) throw new Error(files.detail);
    return files.value;
  };
  return {
    'with times': given(few, photographs, {}),
    'with days': given(few, photographs.slice(0, 4), { beforeOn: '2026-01-02', afterOn: '2026-02-03', patientName: 'Müller^Ö' }),
    'with one day': given(timeless, photographs, { afterOn: '2026-02-03', subject: 'Ünïcode 7' }),
    'colour in full, as taken': given(timeless, [{ ...photographs[0], jpeg: new Uint8Array(full), original: true }], {
      reportedOn: '2026-02-03',
    }),
  };
}

describe('oracle: dicom3tools', () => {
  it.skipIf(!hasProgram('dciodvfy'))(
    'dciodvfy finds no error, and warns of nothing but the scheme of our own and of unknown times (skipped without dicom3tools)',
    async () => {
      for (const [name, files] of Object.entries(await variants()))
        for (const file of files) {
          writeFileSync(path('..look.dcm'), file.bytes);
          const { out, err } = runProgram('dciodvfy', ['-new', path('..look.dcm')]);
          const lines = `${out}${err}`.split('\n').filter(Boolean);
          // A designator that begins with 99 is private by rule, PS3.16 section 8.2, so no list can know it. A study's date and time may be
          // empty, PS3.3 C.7.2.1; only a directory on a disc would want them.
          const others = lines.filter(
            (line) =>
              !/^Warning .*(CodingSchemeDesignator.*= <99EBBLINE>|CodingSchemeUID.*= <2\.25\.\d+>)$/.test(line) &&
              !(name !== 'with times' && /^Warning - <\/Study(Date|Time)\(.*needed to build DICOMDIR$/.test(line)),
          );
          expect(others, `${name}: ${file.name}`).toEqual([file.name === 'report.dcm' ? 'ComprehensiveSR' : 'VLPhotographicImage']);
        }
      rmSync(path('..look.dcm'));
    },
    60_000,
  );
});

describe('oracle: dcmtk', () => {
  it.skipIf(!hasProgram('dsrdump'))('reads every file, and the report as a structured report (skipped without dcmtk)', () => {
    for (const name of readdirSync(folder)) expect(runProgram('dcmftest', [path(name)]).out).toMatch(/^yes:/);
    const dump = runProgram('dsrdump', ['+Pl', '+Pc', path('report.dcm')]);
    expect(dump.status).toBe(0);
    expect(dump.err.split('\n').filter((line) => line !== '' && !/does not support this Specific Character Set/.test(line))).toEqual([]);
    expect(dump.out).toContain('Comprehensive SR Document');
    expect(dump.out.match(/CONTAINER:\(125007,DCM,"Measurement Group"\)/g)).toHaveLength(ZONE_IDS.length + 1);
    for (const { text } of comparison.cautions) expect(dump.out).toContain(text);
    expect(runProgram('dsr2html', [path('report.dcm'), path('..report.html')]).status).toBe(0);
    rmSync(path('..report.html'));
  });

  it.skipIf(!hasProgram('dcmj2pnm'))('decodes the photograph to the pixels that were put in (skipped without dcmtk)', async () => {
    const out = path('..frame.png');
    expect(runProgram('dcmj2pnm', ['+on', path('after-frontal.dcm'), out]).status).toBe(0);
    const theirs = await sharp(out).removeAlpha().raw().toBuffer();
    rmSync(out);
    const ours = await sharp(photographs.find(({ role, view }) => role === 'after' && view === 'frontal')!.jpeg)
      .raw()
      .toBuffer();
    expect(theirs.length).toBe(ours.length);
    // One step of rounding in the colour transform.
    expect(theirs.reduce((worst, c, i) => Math.max(worst, Math.abs(c - ours[i])), 0)).toBeLessThanOrEqual(2);
  });

  it.skipIf(!hasProgram('dcmj2pnm'))('decodes colour in full as well as at half resolution (skipped without dcmtk)', async () => {
    const [photograph] = (await variants())['colour in full, as taken'];
    writeFileSync(path('..full.dcm'), photograph.bytes);
    expect(runProgram('dcmj2pnm', ['+on', path('..full.dcm'), path('..full.png')]).status).toBe(0);
    const [red, green, blue] = (await sharp(path('..full.png')).stats()).channels.map(({ mean }) => mean);
    // The background is #cc9977.
    for (const [seen, meant] of [
      [red, 0xcc],
      [green, 0x99],
      [blue, 0x77],
    ])
      expect(Math.abs(seen - meant)).toBeLessThan(2);
    expect(Buffer.from(photograph.bytes).includes('ORIGINAL\\PRIMARY')).toBe(true);
    rmSync(path('..full.png'));
    rmSync(path('..full.dcm'));
  });
});

/** Walks the report as pydicom sees it: every group as [site, modifier, side, finding, { metric: { name: value } }]. */
const READ = `
import pydicom, sys, json
d = pydicom.dcmread(sys.argv[1])
code = lambda s: s[0].CodeValue
num = lambda i: [i.MeasuredValueSequence[0].FloatingPointValue, float(i.MeasuredValueSequence[0].NumericValue), code(i.MeasuredValueSequence[0].MeasurementUnitsCodeSequence)]
groups = []
images = set()
def walk(items):
    for i in items:
        if i.ValueType == 'IMAGE': images.add(i.ReferencedSOPSequence[0].ReferencedSOPInstanceUID)
        if i.ValueType == 'CONTAINER' and code(i.ConceptNameCodeSequence) == '125007':
            g = {'metrics': {}, 'sites': []}
            for j in i.ContentSequence:
                name = code(j.ConceptNameCodeSequence)
                if name == '363698007':
                    g['sites'].append([code(j.ConceptCodeSequence)] + [code(k.ConceptCodeSequence) for k in j.ContentSequence])
                elif name == '121071': g['finding'] = code(j.ConceptCodeSequence)
                elif j.ValueType == 'NUM':
                    g['metrics'][name] = [num(j), {code(k.ConceptNameCodeSequence): num(k) if k.ValueType == 'NUM' else code(k.ConceptCodeSequence) for k in getattr(j, 'ContentSequence', [])}]
                elif j.ValueType == 'TEXT' and name == '121106': g['statement'] = j.TextValue
            groups.append(g)
        walk(getattr(i, 'ContentSequence', []))
walk(d.ContentSequence)
listed = lambda k: sorted(r.ReferencedSOPInstanceUID for s in getattr(d, k) for e in s.ReferencedSeriesSequence for r in e.ReferencedSOPSequence)
print(json.dumps({'groups': groups, 'images': sorted(images), 'patient': [str(d.PatientName), d.PatientID, d.PatientBirthDate, d.PatientSex],
  'evidence': sorted(listed('CurrentRequestedProcedureEvidenceSequence') + listed('PertinentOtherEvidenceSequence')), 'content': [d.ContentDate, d.SoftwareVersions], 'study': d.StudyInstanceUID}))
`;
/** Codes of public schemes that pydicom's copy of PS3.16 does not have, or has with another meaning. */
const READ_CODES = `
import pydicom, sys, json
from pydicom.sr._concepts_dict import concepts
known = {(scheme, code): set() for scheme, words in concepts.items() for entry in words.values() for code in entry}
for scheme, words in concepts.items():
    for entry in words.values():
        for code, value in entry.items(): known[scheme, code].add(value[0].lower())
wrong = {}
def walk(d):
    if 'CodeValue' in d and d.CodingSchemeDesignator != '99EBBLINE':
        if d.CodeMeaning.lower() not in known.get((d.CodingSchemeDesignator, d.CodeValue), ()): wrong[d.CodingSchemeDesignator + ' ' + d.CodeValue] = d.CodeMeaning
    for e in d:
        if e.VR == 'SQ':
            for item in e.value: walk(item)
for name in sys.argv[1:]: walk(pydicom.dcmread(name))
print(json.dumps(sorted(wrong.items())))
`;
const READ_IMAGES = `
import pydicom, sys, json
print(json.dumps([[d.SOPInstanceUID, d.StudyInstanceUID, d.PatientID, str(d.PatientName), d.file_meta.MediaStorageSOPInstanceUID] for d in map(pydicom.dcmread, sys.argv[1:])]))
`;
type Num = [number, number, string];
type Read = {
  groups: { metrics: Record<string, [Num, Record<string, Num | string>]>; sites: string[][]; finding: string; statement: string }[];
  images: string[];
  evidence: string[];
  patient: string[];
  content: string[];
  study: string;
};

describe('oracle: pydicom', () => {
  it.skipIf(!hasPython('pydicom'))(
    'reads back every number as it was, with unit, interval, error and place (skipped without python3-pydicom)',
    () => {
      const read = pythonJson(READ, [path('report.dcm')]) as Read;
      expect(read.patient).toEqual(['', 'P-0815', '', '']);
      expect(read.content).toEqual(['20261120', comparison.versions.ebbline]);
      expect(read.groups).toHaveLength(ZONE_IDS.length + 1);
      comparison.zones.forEach((zone, k) => {
        const group = read.groups[k];
        const { region, side, zone: own } = zoneCodes(zone.zone);
        expect(group.sites).toEqual([[region.value, ...(side ? [side.value] : []), own.value]]);
        expect(group.finding).toBe(zone.finding);
        expect(group.statement).toBe(zone.statement);
        expect(group.metrics['42798000'][0]).toEqual([zone.areaMm2, zone.areaMm2, 'mm2']);
        const results = METRIC_IDS.flatMap((id) => zone.metrics[id] ?? []);
        const readMetrics = Object.entries(group.metrics).filter(([, [, properties]]) => 'sdc' in properties);
        expect(readMetrics).toHaveLength(results.length);
        results.forEach((result, i) => {
          const [[exact, rounded], properties] = readMetrics[i][1];
          expect(exact).toBe(result.value);
          expect(rounded).toBeCloseTo(result.value, 9);
          const number = (name: string): number => (properties[name] as Num)[0];
          expect([number('std-uncertainty'), number('ci95-low'), number('ci95-high'), number('sdc')]).toEqual([
            result.u,
            ...result.ci95,
            result.sdc,
          ]);
          expect([number('p'), number('p-holm'), properties['metric-finding']]).toEqual([result.p, result.pHolm, result.finding]);
          expect(result.value - number('371885007')).toBeCloseTo(result.ci95[0], 12);
          expect(result.value + number('371886008')).toBeCloseTo(result.ci95[1], 12);
        });
      });
      expect(read.groups.at(-1)!.metrics.volume[0][0]).toBe(comparison.pooled!.volumeMl.value);
      const units = Object.values(read.groups[0].metrics).flatMap(([[, , unit], properties]) => ('sdc' in properties ? [unit] : []));
      expect(units).toEqual(['mL', 'mm', 'mm', '{L*}', '{dE00}', '{a*}', '{-b*}', 'mm2', '{L*}', 'mm', '1', '1', '1']);
    },
  );

  it.skipIf(!hasPython('pydicom'))(
    'has no standard code that the standard does not print with that meaning (skipped without python3-pydicom)',
    () => {
      const wrong = pythonJson(READ_CODES, [path('report.dcm'), path('before-frontal.dcm')]) as string[][];
      // Not in pydicom's copy: units by the rules of UCUM, two codes of TID 1500 and 1501 that dcmtk and others write, RFC 5646's English.
      const known = ['UCUM mL', 'UCUM {L*}', 'UCUM {a*}', 'UCUM {-b*}', 'UCUM {dE00}', 'SCT 260753009', 'UMLS C0034375', 'RFC5646 en'];
      expect(wrong.filter(([code]) => !known.includes(code))).toEqual([]);
      expect(wrong).toHaveLength(known.length);
    },
  );

  it.skipIf(!hasPython('pydicom'))(
    'finds every image that the report refers to, listed as evidence, of the same patient (skipped without python3-pydicom)',
    () => {
      const read = pythonJson(READ, [path('report.dcm')]) as Read;
      const names = readdirSync(folder).filter((name) => name !== 'report.dcm');
      const images = pythonJson(READ_IMAGES, names.map(path)) as string[][];
      expect(read.images).toEqual(images.map(([uid]) => uid).sort());
      expect(read.evidence).toEqual(read.images);
      expect(new Set(images.map(([, study]) => study)).size).toBe(2);
      expect(images.map(([, study]) => study)).toContain(read.study);
      for (const [uid, , patient, name, metaUid] of images) expect([patient, name, metaUid]).toEqual(['P-0815', '', uid]);
    },
  );
});

describe('refusal', () => {
  const code = (facts: ExchangeFacts, from = comparison, given: readonly ExchangePhotograph[] = []) =>
    dicomOfComparison(from, given, facts);

  it('not-comparable: nothing was measured', () => {
    expect(code({}, incomparable())).toMatchObject({ ok: false, why: 'not-comparable' });
  });

  it('no-day: neither camera nor user says when', () => {
    const timeless = { ...comparison, inputs: comparison.inputs.map((input) => ({ ...input, facts: { ...input.facts, takenAt: null } })) };
    expect(code({}, timeless)).toMatchObject({ ok: false, why: 'no-day', detail: expect.stringContaining('Give the day') });
    expect(code({ afterOn: '2026-10-01' }, timeless).ok).toBe(true);
  });

  it('bad-code: longer than an identifier can be', () => {
    expect(code({ subject: 'x'.repeat(65) })).toMatchObject({ ok: false, why: 'bad-code' });
    expect(code({ subject: 'a\\b' })).toMatchObject({ ok: false, why: 'bad-code' });
  });

  it('not-baseline: a progressive JPEG, a grey one, no JPEG', async () => {
    const picture = () => sharp({ create: { width: 90, height: 90, channels: 3, background: '#777' } });
    for (const bytes of [
      await picture().jpeg({ progressive: true }).toBuffer(),
      await picture().toColourspace('b-w').jpeg().toBuffer(),
      await picture().png().toBuffer(),
    ])
      expect(code({}, comparison, [{ role: 'after', view: 'frontal', jpeg: new Uint8Array(bytes) }])).toMatchObject({
        ok: false,
        why: 'not-baseline',
      });
    expect(() => code({}, comparison, [{ role: 'after', view: 'lateral-left', jpeg: new Uint8Array(9) }])).toThrow(RangeError);
  });
});
