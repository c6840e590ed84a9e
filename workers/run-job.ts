/**
 * One job from the queue, from photographs to results in the record. It never throws for bad data: a photograph that
 * cannot be measured fails the job with its own sentence. A stop asked for by the user takes effect at the next step.
 */
import { setTimeout as sleep } from 'node:timers/promises';
import type { PhotoSource } from '#lib/compare/types.ts';
import { isNoRoom } from '#lib/record/files.ts';
import type { NamedFile, RecordStore } from '#lib/record/types.ts';
import { VaultError } from '#lib/record/vault-error.ts';
import type { CheckRequest, CompareRequest, Job, JobFault, PhotoRef } from '#shared/job.ts';
import { type PlatePart, plateFileName } from '#shared/plates.ts';
import { type ComparisonFiles, comparisonFiles } from './comparison-files.ts';
import { daysSinceTreatment } from './days-since.ts';
import type { Measuring } from './measuring.ts';
import { scaleHintOf } from './scale-hint.ts';

/** The share of a comparison's time that is measuring; the rest draws and writes. */
const MEASURING_SHARE = 0.88;
const LEAST_PROGRESS = 0.005;

/** Ten minutes in all: somebody has to make room by hand. */
const ROOM_TRIES = 1200;
const ROOM_WAIT_MS = 500;

class Stopped extends Error {}

const NO_ROOM: JobFault = {
  code: 'no-room',
  message: 'There is no room left on the disk for the result. Free some space and measure again.',
  photo: null,
};

/** Where a job is done: the record it is written to, the runner it belongs to, and whether the user wants it stopped. */
export type JobPlace = Readonly<{ record: RecordStore; runner: string; stopAsked: () => boolean }>;

export async function runJob(place: JobPlace, job: Job, measuring: Measuring): Promise<void> {
  try {
    const fault =
      job.request.kind === 'check'
        ? await check(place, job.id, job.request, measuring)
        : await compare(place, job.id, job.request, measuring);
    if (fault) await place.record.fail(job.id, place.runner, fault);
  } catch (error) {
    if (isNoRoom(error)) await failForRoom(place, job.id);
    else if (error instanceof Stopped) await place.record.stopped(job.id, place.runner);
    else throw error;
  }
}

/** On a disk that is full to the last byte not even the failure can be written down; it is, as soon as there is room. */
async function failForRoom({ record, runner }: JobPlace, id: string): Promise<void> {
  for (let left = ROOM_TRIES; ; left--) {
    try {
      await record.fail(id, runner, NO_ROOM);
      return;
    } catch (error) {
      if (!isNoRoom(error) || left === 0) throw error;
      await sleep(ROOM_WAIT_MS);
    }
  }
}

async function check(place: JobPlace, id: string, { photo, scale }: CheckRequest, measuring: Measuring): Promise<JobFault | null> {
  const { record, runner } = place;
  const report = reporter(place, id);
  report('Reading the photograph', 0);
  const read = await sourceOf(record, photo);
  if (!read.ok) return read.fault;
  const { source } = read;
  const preview = await measuring.preview(source);
  if (!preview.ok) return { code: preview.why, message: preview.detail, photo: photo.sha256 };
  await record.putPreview(photo.sha256, preview.value);
  report('Looking for the face', 0.4);
  const checked = await measuring.checkPhoto(source, scale ? { scale: scaleHintOf(scale) } : {});
  if (!checked.ok) return { code: checked.why, message: checked.detail, photo: photo.sha256 };
  await record.finishCheck(id, runner, checked.value);
  return null;
}

async function compare(place: JobPlace, id: string, request: CompareRequest, measuring: Measuring): Promise<JobFault | null> {
  const { record, runner } = place;
  const report = reporter(place, id);
  report('Reading the photographs', 0);
  const sources: { before: PhotoSource[]; after: PhotoSource[] } = { before: [], after: [] };
  for (const role of ['before', 'after'] as const)
    for (const photo of request[role]) {
      const read = await sourceOf(record, photo);
      if (!read.ok) return read.fault;
      sources[role].push(read.source);
    }
  const { scale, treatedZones, treatedOn, afterOn, setUp: asked } = request.options;
  const setUp = asked ? await record.setUp(asked) : null;
  if (asked && !setUp) return { code: 'no-set-up', message: 'The chosen set-up is no longer kept. Choose another one.', photo: null };
  const days = treatedOn ? daysSinceTreatment(treatedOn, afterOn, await Promise.all(sources.after.map(measuring.takenAt))) : undefined;
  const measured = await measuring.comparePair(sources.before, sources.after, {
    ...(scale ? { scale: scaleHintOf(scale) } : {}),
    ...(treatedZones ? { concernZones: treatedZones } : {}),
    ...(days === undefined ? {} : { daysSinceTreatment: days }),
    ...(setUp ? { setUp: setUp.profile } : {}),
    onProgress: (step, done) => report(step, MEASURING_SHARE * done),
  });
  if (!measured.ok) return { code: measured.why, message: measured.detail, photo: null };
  const files = await comparisonFiles(measuring, {
    pair: measured.value,
    sources: [...sources.before, ...sources.after],
    title: request.title,
    // A damaged picture is made anew.
    keptPreview: (sha256) => record.preview(sha256).catch(nullWhenDamaged),
    onProgress: (step, done) => report(step, MEASURING_SHARE + (1 - MEASURING_SHARE) * done),
  });
  await record.finishCompare(id, runner, measured.value.comparison, namedFiles(files));
  return null;
}

/**
 * Tells the record, not too often, and throws `Stopped` at the first step after a stop was asked for, or after the record
 * said that the job is no longer this runner's. That word comes back only when the measuring lets other work go on.
 */
function reporter({ record, runner, stopAsked }: JobPlace, id: string): (step: string, fraction: number) => void {
  let last = { step: '', fraction: -1 };
  let lost = false;
  return (step, fraction) => {
    if (lost || stopAsked()) throw new Stopped();
    if (step === last.step && Math.abs(fraction - last.fraction) < LEAST_PROGRESS) return;
    last = { step, fraction };
    void record.progress(id, runner, step, fraction).then(
      (word) => {
        lost ||= word === 'stop';
      },
      (error) => {
        // What cannot be told for want of room shows when the result is written.
        if (!isNoRoom(error)) throw error;
      },
    );
  };
}

type Read = Readonly<{ ok: true; source: PhotoSource }> | Readonly<{ ok: false; fault: JobFault }>;

/** A photograph that is gone or damaged fails its job; others go on. */
async function sourceOf(record: RecordStore, photo: PhotoRef): Promise<Read> {
  try {
    const bytes = await record.photoBytes(photo.sha256);
    return bytes ? { ok: true, source: { name: photo.name, bytes } } : { ok: false, fault: gone(photo) };
  } catch (error) {
    if (!(error instanceof VaultError)) throw error;
    return { ok: false, fault: { code: error.code, message: `${photo.name}: ${error.message}`, photo: photo.sha256 } };
  }
}

function nullWhenDamaged(error: unknown): null {
  if (error instanceof VaultError && error.code === 'damaged') return null;
  throw error;
}

const gone = ({ name, sha256 }: PhotoRef): JobFault => ({
  code: 'gone',
  message: `${name} is no longer kept. Add the photograph again.`,
  photo: sha256,
});

function namedFiles({ views, report, table, field }: ComparisonFiles): NamedFile[] {
  const plates = views.flatMap(({ view, pictures }) =>
    (Object.keys(pictures) as PlatePart[]).map((part): NamedFile => ({ name: plateFileName(view, part), bytes: pictures[part]! })),
  );
  return [...plates, ...field, { name: 'report.html', bytes: report }, { name: 'table.csv', bytes: table }];
}
