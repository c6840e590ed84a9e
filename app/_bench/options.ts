/** What the user may say beside the photographs, as typed, and as it is sent. Pure. */
import { type CompareRequest, daySchema, type ScaleHintRequest, scaleHintSchema } from '#shared/job.ts';
import type { ZoneId } from '#shared/zones.ts';

export type Options = Readonly<{
  title: string;
  treatedZones: ReadonlySet<ZoneId>;
  treatedOn: string;
  afterOn: string;
  scaleKind: ScaleHintRequest['kind'];
  /** As typed. */
  pupilsMm: string;
  markerMm: string;
  /** Address of the profile that error limits come from; empty for the validation's. */
  setUp: string;
}>;

export const PLAIN_OPTIONS: Options = {
  title: '',
  treatedZones: new Set(),
  treatedOn: '',
  afterOn: '',
  scaleKind: 'iris',
  pupilsMm: '',
  markerMm: '',
  setUp: '',
};

/** The scale as it is sent; null while what is typed is not a length that can be. */
export function scaleOf({ scaleKind, pupilsMm, markerMm }: Pick<Options, 'scaleKind' | 'pupilsMm' | 'markerMm'>): ScaleHintRequest | null {
  const typed = scaleKind === 'interpupillary' ? pupilsMm : markerMm;
  const length = /^\d+(?:[.,]\d+)?$/.test(typed.trim()) ? Number(typed.trim().replace(',', '.')) : Number.NaN;
  const hint =
    scaleKind === 'iris'
      ? { kind: scaleKind }
      : scaleKind === 'interpupillary'
        ? { kind: scaleKind, distanceMm: length }
        : { kind: scaleKind, sideMm: length };
  const parsed = scaleHintSchema.safeParse(hint);
  return parsed.success ? parsed.data : null;
}

/** Why the dates cannot stand as they are, or null. Days are `YYYY-MM-DD`. */
export function datesFault({ treatedOn, afterOn }: Pick<Options, 'treatedOn' | 'afterOn'>): string | null {
  if (treatedOn !== '' && !daySchema.safeParse(treatedOn).success) return 'The day of treatment is not a day of the calendar.';
  if (afterOn !== '' && !daySchema.safeParse(afterOn).success) return 'The day of the after photographs is not a day of the calendar.';
  if (treatedOn !== '' && afterOn !== '' && afterOn < treatedOn)
    return 'The after photographs are dated before the treatment. Change one of the two days.';
  return null;
}

/** The options part of a request; what was left empty is left out. */
export function requestOptions(options: Options, scale: ScaleHintRequest): CompareRequest['options'] {
  return {
    ...(scale.kind === 'iris' ? {} : { scale }),
    ...(options.treatedZones.size > 0 ? { treatedZones: [...options.treatedZones].sort() } : {}),
    ...(options.treatedOn ? { treatedOn: options.treatedOn } : {}),
    ...(options.afterOn ? { afterOn: options.afterOn } : {}),
    ...(options.setUp ? { setUp: options.setUp } : {}),
  };
}

/** What is set, in a line: shown where the options are folded away. */
export function optionWords({ treatedZones, treatedOn, scaleKind, setUp }: Options): string {
  const zones = treatedZones.size === 0 ? 'no zone named' : treatedZones.size === 1 ? '1 zone' : `${treatedZones.size} zones`;
  const scale = { iris: 'scale from the iris', interpupillary: 'scale from the pupils', marker: 'scale from a marker' }[scaleKind];
  const limits = setUp === '' ? [] : ['error limits of your own set-up'];
  return [zones, treatedOn === '' ? 'no day of treatment' : `treated on ${treatedOn}`, scale, ...limits].join('; ');
}
