/**
 * Repeated photographs become the profile of a set-up: every pair of repeats of a person is compared, what cannot be compared is
 * left out with its reason, and the statistics are made of the rest.
 */
import { createHash } from 'node:crypto';
import { repeatReadings } from '#lib/compare/set-up.ts';
import type { ComparedPair } from '#lib/compare/types.ts';
import { type ChangeReading, type RepeatPair, setUpStatistics } from '#lib/series/set-up-statistics.ts';
import { median } from '#lib/stats/quantile.ts';
import { VIEWS } from '#shared/comparison.ts';
import type { ScaleHintRequest } from '#shared/job.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { SET_UP_SCHEMA, type SetUpProfile, setUpProfileSchema } from '#shared/set-up-profile.ts';
import { type FileFault, readSources } from './commands/read-files.ts';
import type { Measuring } from './measuring.ts';
import type { PersonFolder, RepeatFolder } from './repeat-layout.ts';
import { scaleHintOf } from './scale-hint.ts';

export type Asked = Readonly<{ name: string; madeOn: string; scale?: ScaleHintRequest | undefined }>;
/** Folders are named here, for the one who took the photographs; the profile numbers people. */
export type Remark = Readonly<{ first: string; second: string; why: string }>;
export type Repeated = Readonly<{
  profile: SetUpProfile;
  leftOut: readonly Remark[];
  /** Pairs that count, and that a person should look at: an odd one that was left out would flatter the error. */
  doubts: readonly Remark[];
}>;

/** Photographs of two days are not repeats: by then a face may have changed. */
const MOST_HOURS = 24;

/** How much of the time goes into looking through the files. */
const LOOKING = 0.05;

type Seen = RepeatFolder & Readonly<{ takenAt: string | null }>;
type Pairing = Readonly<{ person: number; first: number; second: number; one: Seen; two: Seen; kind: 'repeat' | 'change' }>;
type Tell = (step: string, done: number) => void;

export async function repeatSetUp(
  people: readonly PersonFolder[],
  { name, madeOn, scale }: Asked,
  measuring: Measuring,
  onProgress: Tell = () => {},
): Promise<Outcome<Repeated, FileFault | 'same-file' | 'nothing-left'>> {
  onProgress('Looking through the photographs', 0);
  const looked = await lookThrough(people, measuring);
  if (!looked.ok) return looked;
  const pairings = looked.value.flatMap((visits, person) => pairingsOf(person, visits));
  const repeats: RepeatPair[] = [];
  const changes: ChangeReading[] = [];
  const leftOut: (Remark & { person: number })[] = [];
  const doubts: Remark[] = [];
  const minutes: number[] = [];
  const used: ComparedPair[] = [];
  for (const [k, { person, first, second, one, two, kind }] of pairings.entries()) {
    const step = `Comparing ${one.label} with ${two.label}`;
    const tell = (done: number): void => onProgress(step, LOOKING + ((1 - LOOKING) * (k + done)) / pairings.length);
    tell(0);
    const [before, after] = [await readSources(one.files), await readSources(two.files)];
    if (!before.ok) return before;
    if (!after.ok) return after;
    const measured = await measuring.comparePair(before.value, after.value, {
      ...(scale ? { scale: scaleHintOf(scale) } : {}),
      onProgress: (_, done) => tell(done),
    });
    const gap = measured.ok ? minutesBetween(measured.value) : null;
    const why = measured.ok ? whyNot(measured.value, kind === 'repeat' ? gap : null) : measured.detail;
    if (why !== null || !measured.ok) {
      leftOut.push({ person, first: one.label, second: two.label, why: why ?? '' });
      continue;
    }
    const readings = repeatReadings(measured.value.readings);
    if (kind === 'change') changes.push({ person, reading: first, readings });
    else {
      repeats.push({ person, first, second, readings });
      const doubt = measured.value.comparison.gate.checks.find(
        ({ id, verdict, value }) => id === 'registration' && verdict !== 'pass' && value !== null,
      );
      if (doubt) doubts.push({ first: one.label, second: two.label, why: `${doubt.message} Make sure that both show one person.` });
      if (gap !== null) minutes.push(gap);
      used.push(measured.value);
    }
  }
  const at = used[0];
  if (!at)
    return refused(
      'nothing-left',
      ['No pair of repeats could be compared, so there is nothing to tell an error from.', ...leftOut.map(remarkLine)].join('\n'),
    );

  const { landmarkEngine, models, ebbline } = at.comparison.versions;
  const inputs = used.flatMap(({ comparison }) => comparison.inputs);
  const profile = setUpProfileSchema.parse({
    schema: SET_UP_SCHEMA,
    name,
    madeOn,
    people: new Set(repeats.map(({ person }) => person)).size,
    pairs: repeats.length,
    leftOut: leftOut.map(({ person, why }) => ({ person: person + 1, why })),
    cameras: [...new Set(inputs.flatMap(({ facts }) => facts.camera ?? []))].sort(),
    views: VIEWS.filter((view) => inputs.some((input) => input.view === view)),
    scaleSource: at.comparison.scale!.source,
    minutesApart: minutes.length > 0 ? { median: median(minutes), most: Math.max(...minutes) } : null,
    versions: { ebbline, landmarkEngine, models },
    ...setUpStatistics(repeats, changes),
  } satisfies SetUpProfile);
  return found({ profile, leftOut, doubts });
}

export const remarkLine = ({ first, second, why }: Remark): string => `${first} and ${second}: ${why}`;

/** Every pair within a visit, the earlier photograph first; and each repeat of the first visit with that of the last. */
function pairingsOf(person: number, visits: readonly (readonly Seen[])[]): Pairing[] {
  let number = 0;
  const repeats = visits.flatMap((visit) => {
    const numbered = inTime(visit).map((seen) => ({ seen, number: number++ }));
    return numbered.flatMap((one, i) =>
      numbered
        .slice(i + 1)
        .map((two): Pairing => ({ person, first: one.number, second: two.number, one: one.seen, two: two.seen, kind: 'repeat' })),
    );
  });
  const [before, after] = [visits[0]!, visits.at(-1)!];
  if (before === after) return repeats;
  const readings = before.slice(0, after.length);
  return [...repeats, ...readings.map((one, k): Pairing => ({ person, first: k, second: k, one, two: after[k]!, kind: 'change' }))];
}

/** By the cameras' clocks when every repeat has a time, else as the names go. */
function inTime(visit: readonly Seen[]): readonly Seen[] {
  if (visit.some(({ takenAt }) => takenAt === null)) return visit;
  return visit.toSorted((a, b) => (a.takenAt! < b.takenAt! ? -1 : a.takenAt! > b.takenAt! ? 1 : 0));
}

/** Reads every file once, so that what is unreadable or there twice shows before hours of measuring. People, visits, repeats. */
async function lookThrough(people: readonly PersonFolder[], measuring: Measuring): Promise<Outcome<Seen[][][], FileFault | 'same-file'>> {
  const places = new Map<string, string>();
  const all: Seen[][][] = [];
  for (const { visits } of people) {
    const seenVisits: Seen[][] = [];
    for (const visit of visits) {
      const seen: Seen[] = [];
      for (const repeat of visit) {
        const sources = await readSources(repeat.files);
        if (!sources.ok) return sources;
        for (const { bytes } of sources.value) {
          const hash = createHash('sha256').update(bytes).digest('hex');
          const former = places.get(hash);
          if (former !== undefined)
            return refused(
              'same-file',
              `${former} and ${repeat.label} hold the very same photograph. A copy repeats without error; take another photograph instead.`,
            );
          places.set(hash, repeat.label);
        }
        seen.push({ ...repeat, takenAt: await measuring.takenAt(sources.value[0]!) });
      }
      seenVisits.push(seen);
    }
    all.push(seenVisits);
  }
  return found(all);
}

/** Why a measured pair must not count, or null. */
function whyNot({ comparison }: ComparedPair, minutes: number | null): string | null {
  const { comparable, checks } = comparison.gate;
  const face = checks.find(({ id, verdict }) => id === 'same-face' && verdict !== 'pass');
  if (face) return `This may not be one person. ${face.message}`;
  const refusal = checks.find(({ verdict }) => verdict === 'refuse');
  if (!comparable) return refusal ? `${refusal.message} ${refusal.advice}`.trim() : 'The photographs are not comparable.';
  if (minutes !== null && minutes > 60 * MOST_HOURS)
    return `They were taken ${Math.round(minutes / 1440)} days apart. By then a face may have changed; repeats are taken within a day.`;
  return null;
}

/** Between the first photographs of either side; null when a file carries no time. */
function minutesBetween({ comparison: { inputs } }: ComparedPair): number | null {
  const [before, after] = (['before', 'after'] as const).map((role) => inputs.find((input) => input.role === role)?.facts.takenAt ?? null);
  if (!before || !after) return null;
  const minutes = Math.abs(Date.parse(`${after}Z`) - Date.parse(`${before}Z`)) / 60_000;
  return Number.isFinite(minutes) ? minutes : null;
}
