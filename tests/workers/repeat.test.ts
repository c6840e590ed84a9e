/** `ebbline repeat` from folders to a profile in use: layouts and refusals with a stand-in that reads numbers, and once with the real measurement. */
import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { setUpErrorOf } from '#lib/compare/set-up.ts';
import type { CompareOptions, PhotoSource } from '#lib/compare/types.ts';
import { difference, type ZoneReadings } from '#lib/measure/reading.ts';
import { SET_UP_ERROR } from '#lib/measure/set-up-error.ts';
import { CLINIC_CAMERA } from '#lib/phantom/camera.ts';
import { identityFrom } from '#lib/phantom/identity.ts';
import { pairSpecs } from '#lib/phantom/pair.ts';
import { openRecord } from '#lib/record/open.ts';
import { comparisonSchema } from '#shared/comparison.ts';
import { found } from '#shared/outcome.ts';
import { setUpProfileSchema } from '#shared/set-up-profile.ts';
import { photoOf } from '#tests/compare/phantom-photos.ts';
import { withDir } from '#tests/record/sample-jobs.ts';
import { incomparable, sampleComparison } from '#tests/report/sample-comparison.ts';
import { ebbline } from '#workers/cli.ts';
import { loadMeasuring, type Measuring } from '#workers/measuring.ts';
import { readRepeatLayout } from '#workers/repeat-layout.ts';
import { fakeMeasuring } from './fake-measuring.ts';

/** A "photograph" says whose face it is, what there is to read, and when it was taken. */
type Face = { who?: string; reads?: number; at?: string; refuse?: boolean; blurred?: boolean };
const faceIn = (source: PhotoSource): Face => JSON.parse(new TextDecoder().decode(source.bytes)) as Face;

/** Reads the difference of the numbers in the chin; `asked` keeps what comparisons were asked with. */
function numberReader(asked: CompareOptions[] = []): Measuring {
  return {
    ...fakeMeasuring,
    takenAt: async (source) => faceIn(source).at ?? null,
    comparePair: async ([before], [after], options) => {
      asked.push(options);
      const [a, b] = [faceIn(before!), faceIn(after!)];
      const sample = a.refuse || b.refuse ? incomparable() : sampleComparison();
      const times = { before: a.at ?? null, after: b.at ?? null };
      const inputs = sample.inputs.map((input) => ({
        ...input,
        facts: { ...input.facts, camera: 'Test One', takenAt: times[input.role] },
      }));
      const sameFace = {
        ...sample.gate.checks[0]!,
        id: 'same-face' as const,
        verdict: a.who === b.who ? ('pass' as const) : ('caution' as const),
        message: 'The faces differ.',
      };
      const registration = {
        ...sameFace,
        id: 'registration' as const,
        verdict: a.blurred ? ('caution' as const) : ('pass' as const),
        value: 0.6,
        message: 'The skin differs in place.',
      };
      const comparison = { ...sample, inputs, gate: { ...sample.gate, checks: [...sample.gate.checks, sameFace, registration] } };
      const readings: ZoneReadings = new Map([['chin', { volumeMl: difference((b.reads ?? 0) - (a.reads ?? 0), 0.01) }]]);
      return found({ comparison, plates: [], field: null, readings: comparison.gate.comparable ? readings : new Map() });
    },
  };
}

async function run(dir: string, measuring: Measuring, ...args: string[]): Promise<{ exit: number; out: string; err: string }> {
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
    env: { EBBLINE_HOME: join(dir, 'home') },
    measuring: async () => measuring,
  });
  return { exit, ...said };
}

async function lay(dir: string, files: Readonly<Record<string, Face | Uint8Array | string>>): Promise<string> {
  const place = join(dir, 'repeats');
  await mkdir(place, { recursive: true });
  for (const [path, face] of Object.entries(files)) {
    await mkdir(dirname(join(place, path)), { recursive: true });
    await writeFile(
      join(place, path),
      typeof face === 'string' || face instanceof Uint8Array ? face : JSON.stringify({ ...face, place: path }),
    );
  }
  return place;
}

describe('law: layouts', () => {
  it('repeats in folders, repeats as files, and visits are told apart; numbers are in their order', () =>
    withDir(async (dir) => {
      const place = await lay(dir, {
        'a/10/front.jpg': {},
        'a/2/front.jpg': {},
        'a/2/left.JPG': {},
        'a/.hidden/front.jpg': {},
        'b/one.heic': {},
        'b/two.jpeg': {},
        'b/notes.txt': 'no photograph',
        'c/before/1/front.jpg': {},
        'c/before/2/front.jpg': {},
        'c/after/1/front.jpg': {},
        'c/after/2/front.jpg': {},
      });
      const layout = await readRepeatLayout(place);
      if (!layout.ok) throw new Error(layout.detail);
      expect(layout.value.map(({ name, visits }) => [name, visits.map((repeats) => repeats.map(({ label }) => label))])).toEqual([
        ['a', [['a/2', 'a/10']]],
        ['b', [['b/one.heic', 'b/two.jpeg']]],
        [
          'c',
          [
            ['c/after/1', 'c/after/2'],
            ['c/before/1', 'c/before/2'],
          ],
        ],
      ]);
      expect(layout.value[0]!.visits[0]![0]!.files.map((file) => file.slice(place.length + 1))).toEqual(['a/2/front.jpg', 'a/2/left.JPG']);
    }));
});

describe('law: repeat', () => {
  it('compares every pair of a person, prints the error, keeps the profile and writes it', () =>
    withDir(async (dir) => {
      const place = await lay(dir, {
        'anna/1.jpg': { reads: 0 },
        'anna/2.jpg': { reads: 0.3 },
        'anna/3.jpg': { reads: 0.6 },
        'ben/1.jpg': { reads: 1, at: '2026-11-20T10:00:00' },
        'ben/2.jpg': { reads: 1.4, at: '2026-11-20T10:06:00' },
      });
      const out = join(dir, 'profiles', 'room.json');
      const { exit, out: text } = await run(dir, numberReader(), 'repeat', place, '--name', 'Room 2', '--out', out);
      expect(exit).toBe(0);
      const profile = setUpProfileSchema.parse(JSON.parse(await readFile(out, 'utf8')));
      expect(profile).toMatchObject({
        name: 'Room 2',
        people: 2,
        pairs: 4,
        leftOut: [],
        cameras: ['Test One'],
        minutesApart: { median: 6, most: 6 },
      });
      // Anna 0.18 with 2 degrees of freedom, Ben 0.08 with 1: sqrt(0.26 / 3).
      expect(profile.zones.chin!.volumeMl!.sem).toBeCloseTo(Math.sqrt(0.26 / 3), 12);
      expect(text).toMatch(/4 pairs of repeated photographs of 2 people.*Chin +2 +4 +0\.294/s);
      const record = openRecord({ dataDir: join(dir, 'home') });
      expect((await record.setUp('Room 2'))?.profile).toEqual(profile);
      await record.close();
      // Nobody's name leaves the folder.
      expect(JSON.stringify(profile)).not.toMatch(/anna|ben/i);
    }));

  it('takes the earlier photograph first when files tell the time', () =>
    withDir(async (dir) => {
      const people = Object.fromEntries(
        ['a', 'b', 'c'].flatMap((name, k) => [
          [`${name}/1.jpg`, { reads: 0.5 + k / 10, at: '2026-11-20T10:09:00' }],
          [`${name}/2.jpg`, { reads: 0, at: '2026-11-20T10:00:00' }],
        ]),
      );
      const { out } = await run(dir, numberReader(), 'repeat', await lay(dir, people), '--json');
      expect(setUpProfileSchema.parse(JSON.parse(out)).zones.chin!.volumeMl!.agreement!.bias).toBeCloseTo(0.6, 12);
    }));

  it('reads a real change between visits more than once for ICC(2,1)', () =>
    withDir(async (dir) => {
      const files = Object.fromEntries(
        [-1, -0.5, 0].flatMap((change, k) =>
          ['1', '2'].flatMap((repeat, r) => [
            [`p${k}/1-before/${repeat}/f.jpg`, { reads: r / 50 }],
            [`p${k}/2-after/${repeat}/f.jpg`, { reads: change + ((k + r) % 2) / 50 }],
          ]),
        ),
      );
      const { out } = await run(dir, numberReader(), 'repeat', await lay(dir, files), '--json');
      const { pairs, zones } = setUpProfileSchema.parse(JSON.parse(out));
      expect(pairs).toBe(6);
      expect(zones.chin!.volumeMl!.reliability).toMatchObject({ people: 3, readings: 2 });
      expect(zones.chin!.volumeMl!.reliability!.icc).toBeGreaterThan(0.95);
      expect(zones.chin!.volumeMl!.sem).toBeLessThan(0.02);
    }));

  it('leaves out strangers, other days and pairs that are not comparable, and says so of each', () =>
    withDir(async (dir) => {
      const place = await lay(dir, {
        'good/1.jpg': { who: 'g', reads: 0 },
        'good/2.jpg': { who: 'g', reads: 0.1 },
        'odd/1.jpg': { reads: 0, blurred: true },
        'odd/2.jpg': { reads: 0.2 },
        'changed/1.jpg': { who: 'x', reads: 0 },
        'changed/2.jpg': { who: 'y', reads: 9 },
        'later/1.jpg': { reads: 0, at: '2026-11-01T10:00:00' },
        'later/2.jpg': { reads: 9, at: '2026-11-20T10:00:00' },
        'turned/1.jpg': { refuse: true },
        'turned/2.jpg': { reads: 9 },
      });
      const { exit, out } = await run(dir, numberReader(), 'repeat', place);
      expect(exit).toBe(0);
      expect(out).toMatch(/2 pairs of repeated photographs of 2 people; 3 pairs left out/);
      expect(out).toMatch(/changed\/1\.jpg and changed\/2\.jpg: This may not be one person\. The faces differ\./);
      expect(out).toMatch(/later\/1\.jpg and later\/2\.jpg: They were taken 19 days apart/);
      expect(out).toMatch(/to be looked at\n• odd\/1\.jpg and odd\/2\.jpg: The skin differs in place\./);
      expect(out).toMatch(/turned\/1\.jpg and turned\/2\.jpg: The camera was 20 cm away/);
    }));

  it('compare takes the profile by name and from a file', () =>
    withDir(async (dir) => {
      const place = await lay(dir, { 'a/1.jpg': { reads: 0 }, 'a/2.jpg': { reads: 0.3 } });
      const file = join(dir, 'room.json');
      await run(dir, numberReader(), 'repeat', place, '--name', 'Room 2', '--out', file);
      const profile = setUpProfileSchema.parse(JSON.parse(await readFile(file, 'utf8')));
      for (const named of ['Room 2', file]) {
        const asked: CompareOptions[] = [];
        const photos = ['--before', join(place, 'a/1.jpg'), '--after', join(place, 'a/2.jpg'), '--json'];
        expect((await run(dir, numberReader(asked), 'compare', ...photos, '--set-up', named)).exit).toBe(0);
        expect(asked[0]!.setUp).toEqual(profile);
      }
      const { exit, err } = await run(dir, numberReader(), 'compare', '--before', 'x', '--after', 'y', '--json', '--set-up', 'Attic');
      expect([exit, err]).toEqual([2, expect.stringMatching(/no set-up "Attic".*There is "Room 2"/)]);
    }));
});

describe('refusal: repeat', () => {
  const wrong: { name: string; files: Record<string, Face | string>; exit: number; words: RegExp }[] = [
    { name: 'one repeat only', files: { 'a/1.jpg': {} }, exit: 2, words: /a has one repeat only.*photograph the person again/ },
    {
      name: 'one repeat in a folder',
      files: { 'a/1.jpg': {}, 'a/2.jpg': {}, 'b/1/front.jpg': {} },
      exit: 2,
      words: /b has one repeat only/,
    },
    {
      name: 'photographs of nobody',
      files: { '1.jpg': {}, '2.jpg': {} },
      exit: 2,
      words: /holds photographs itself \(1\.jpg\).*DIR\/PERSON\/REPEAT/,
    },
    { name: 'no folders', files: {}, exit: 2, words: /holds no folders/ },
    {
      name: 'photographs beside folders',
      files: { 'a/1/f.jpg': {}, 'a/2/f.jpg': {}, 'a/3.jpg': {} },
      exit: 2,
      words: /a holds photographs beside folders/,
    },
    {
      name: 'visits beside repeats',
      files: { 'a/v/1/f.jpg': {}, 'a/v/2/f.jpg': {}, 'a/3/f.jpg': {} },
      exit: 2,
      words: /a mixes visits with repeats/,
    },
    { name: 'too deep', files: { 'a/v/1/x/f.jpg': {}, 'a/v/2/f.jpg': {} }, exit: 2, words: /one level too deep/ },
    { name: 'an empty repeat', files: { 'a/1/f.jpg': {}, 'a/2/notes.txt': 'x' }, exit: 2, words: /a\/2 holds no photographs/ },
    {
      name: 'six views',
      files: { 'a/1/f.jpg': {}, ...Object.fromEntries([1, 2, 3, 4, 5, 6].map((k) => [`a/2/${k}.jpg`, {}])) },
      exit: 2,
      words: /a\/2 holds 6 photographs/,
    },
    {
      name: 'a copy',
      files: { 'a/1.jpg': 'same', 'a/2.jpg': 'same' },
      exit: 2,
      words: /a\/1\.jpg and a\/2\.jpg hold the very same photograph/,
    },
    {
      name: 'nothing comparable',
      files: { 'a/1.jpg': { refuse: true }, 'a/2.jpg': {} },
      exit: 3,
      words: /No pair of repeats could be compared[\s\S]*a\/1\.jpg and a\/2\.jpg: The camera/,
    },
  ];
  for (const { name, files, exit, words } of wrong)
    it(name, () =>
      withDir(async (dir) => {
        const place = await lay(dir, files);
        const measuring = { ...numberReader(), ...(name === 'a copy' ? { takenAt: async () => null } : {}) };
        const said = await run(dir, measuring, 'repeat', place);
        expect([said.exit, said.out]).toEqual([exit, '']);
        expect(said.err).toMatch(words);
      }),
    );

  it('a folder that is not there, a name that is none, a file that is no profile', () =>
    withDir(async (dir) => {
      expect(await run(dir, numberReader(), 'repeat', join(dir, 'absent'))).toMatchObject({
        exit: 4,
        err: expect.stringContaining('absent'),
      });
      expect((await run(dir, numberReader(), 'repeat')).exit).toBe(2);
      expect((await run(dir, numberReader(), 'repeat', dir, '--name', ' ')).exit).toBe(2);
      await writeFile(join(dir, 'mine.json'), '{}');
      expect(await run(dir, numberReader(), 'repeat', dir, '--out', join(dir, 'mine.json'))).toMatchObject({
        exit: 2,
        err: expect.stringMatching(/is no profile/),
      });
      expect(await readFile(join(dir, 'mine.json'), 'utf8')).toBe('{}');
    }));
});

describe('law: with the real measurement', () => {
  /** A small camera, so that a pair takes two seconds. */
  const camera = { ...CLINIC_CAMERA, widthPx: 480, heightPx: 600, interpupillaryPx: 120 };
  const repeatsOf = async (seed: number, other = seed): Promise<[Uint8Array, Uint8Array]> => {
    const base = { quality: 'draft' as const, camera };
    const { before } = pairSpecs({ ...base, identity: identityFrom(seed) });
    const nuisance = { yawDeg: 0.8, pitchDeg: -0.6, lightAzimuthDeg: 1, exposure: 1.03, shiftXMm: 2 };
    const { after } = pairSpecs({ ...base, identity: identityFrom(other), nuisance });
    return [(await photoOf(before, 'front.jpg')).bytes, (await photoOf(after, 'front.jpg')).bytes];
  };

  it('three people and a stranger become a profile whose error findings take', { timeout: 120_000 }, () =>
    withDir(async (dir) => {
      const files: Record<string, Uint8Array> = {};
      for (const [k, [seed, other]] of [[700], [701], [702], [704, 706]].entries())
        for (const [r, bytes] of (await repeatsOf(seed!, other)).entries()) files[`person-${k + 1}/${r + 1}/front.jpg`] = bytes;
      const place = await lay(dir, files);
      const measuring = await loadMeasuring();
      const made = await run(dir, measuring, 'repeat', place, '--name', 'Rendered', '--json');
      expect(made.exit).toBe(0);
      const profile = setUpProfileSchema.parse(JSON.parse(made.out));
      expect(profile).toMatchObject({ people: 3, pairs: 3, views: ['frontal'], scaleSource: 'iris' });
      expect(profile.leftOut).toEqual([{ person: 4, why: expect.stringMatching(/^This may not be one person/) }]);
      expect(Object.keys(profile.zones).length).toBeGreaterThan(20);
      // What the fit holds near rest says nothing of an error.
      expect(profile.zones.forehead!.volumeMl).toBeUndefined();
      // Three repeats of its own, four degrees of freedom from all zones.
      expect(profile.zones.forehead!.lightnessDelta!.fromAllZones).toBeCloseTo(4 / 7, 6);

      const photos = ['--before', join(place, 'person-1/1/front.jpg'), '--after', join(place, 'person-1/2/front.jpg'), '--json'];
      const usual = comparisonSchema.parse(JSON.parse((await run(dir, measuring, 'compare', ...photos)).out));
      const own = comparisonSchema.parse(JSON.parse((await run(dir, measuring, 'compare', ...photos, '--set-up', 'Rendered')).out));
      expect([usual.errorSource, own.errorSource]).toEqual(['validation', 'own-repeats']);
      expect(own.parameters.setUp).toMatchObject({ name: 'Rendered', pairs: 3, sha256: expect.stringMatching(/^[0-9a-f]{64}$/) });
      expect(own.versions.parametersSha256).not.toBe(usual.versions.parametersSha256);
      expect(own.cautions.map(({ code }) => code)).toContain('few-repeats');
      expect(own.cautions.map(({ code }) => code)).not.toContain('error-from-validation');
      // The detectable change differs by exactly what the two sources add; values are rounded to six digits.
      const error = setUpErrorOf(profile);
      const offenders = own.zones.flatMap(({ zone, metrics }, k) => {
        const [mine, theirs] = [metrics.lightnessDelta, usual.zones[k]!.metrics.lightnessDelta];
        if (!mine || !theirs) return [];
        const less = (sdc: number, added: number): number => (sdc / 1.959963984540054) ** 2 - added ** 2;
        const gap = less(mine.sdc, error(zone, 'lightnessDelta')) - less(theirs.sdc, SET_UP_ERROR.lightnessDelta);
        return Math.abs(gap) > 1e-5 || mine.value !== theirs.value ? [`${zone} ${gap}`] : [];
      });
      expect(offenders).toEqual([]);
    }),
  );
});
