/**
 * A plate: what one view of a pair looks like once it is aligned, relit and measured, as rasters on one grid.
 *
 * Frame   pixels of the plate; x right, y down; the centre of the first pixel is (0.5, 0.5). Row-major.
 * Signs   loss is negative, gain positive.
 *
 * The measurement returns `Plate`; on disk a plate is the files named below, so that a page can draw it without the
 * measurement. `plate-fields.ts` holds the coding of the number fields.
 */
import { z } from 'zod';
import { type View, viewSchema } from './comparison.ts';
import { ZONE_IDS, type ZoneId } from './zones.ts';

/** Loops of one zone, each flat: [x0, y0, x1, y1, ...] in px of the plate, closed implicitly. */
export type OutlineLoops = number[][];

export type Plate = Readonly<{
  view: View;
  width: number;
  height: number;
  mmPerPx: number;
  /** sRGB-coded, RGB interleaved, length 3 * width * height. The before photograph in the plate's frame. */
  before: Uint8Array;
  /** The after photograph, carried into the same frame. */
  afterAligned: Uint8Array;
  /** The same, under the light of the before photograph. */
  afterRelit: Uint8Array;
  /** length width * height; displacement along the outward normal, mm; NaN where not measured. */
  displacementMm: Float32Array;
  /** length width * height; change of CIELAB L*, relative to the reference zones; NaN where not measured. */
  lightnessDelta: Float32Array;
  /** length width * height; -1 outside every zone, else an index into ZONE_IDS. */
  zoneIndex: Int8Array;
  /** length width * height; 0 not trusted at all .. 255 fully trusted. */
  trust: Uint8Array;
  /** Zones that this view shows. */
  zoneOutlines: Partial<Record<ZoneId, OutlineLoops>>;
}>;

/** What is kept of a plate as JSON beside its pictures: `<view>.plate.json`. */
export const plateInfoSchema = z.object({
  view: viewSchema,
  width: z.number().int().positive(),
  height: z.number().int().positive(),
  mmPerPx: z.number().positive(),
  zoneOutlines: z.partialRecord(z.enum(ZONE_IDS), z.array(z.array(z.number()))),
  /** Half ranges of the two maps' legends, chosen from the data: mm and L*. */
  displacementSpanMm: z.number().positive(),
  lightnessSpan: z.number().positive(),
});
export type PlateInfo = z.infer<typeof plateInfoSchema>;

/**
 * The files of one view. Pictures are JPEG, maps PNG with alpha on the plate's grid; fields are gzipped.
 * `*-picture` are the maps already laid over the after photograph, drained of its colour.
 * `*-as-taken` are the whole upright photographs, at most 1600 px long; they exist even when the pair is not comparable.
 */
export const PLATE_PARTS = {
  info: 'plate.json',
  beforeAsTaken: 'before-as-taken.jpg',
  afterAsTaken: 'after-as-taken.jpg',
  before: 'before.jpg',
  afterAligned: 'after-aligned.jpg',
  afterRelit: 'after-relit.jpg',
  changeMap: 'change-map.png',
  lightnessMap: 'lightness-map.png',
  changePicture: 'change-picture.jpg',
  lightnessPicture: 'lightness-picture.jpg',
  displacement: 'displacement.i16.gz',
  lightness: 'lightness.i16.gz',
  zones: 'zones.i8.gz',
  trust: 'trust.u8.gz',
} as const;
export type PlatePart = keyof typeof PLATE_PARTS;

/** `plateFileName('frontal', 'before')` is `frontal.before.jpg`. */
export const plateFileName = (view: View, part: PlatePart): string => `${view}.${PLATE_PARTS[part]}`;

/** Exactly the names `plateFileName` can make; anything else is no plate file. */
export const PLATE_FILE = new RegExp(
  `^(?:${viewSchema.options.join('|')})\\.(?:${Object.values(PLATE_PARTS)
    .map((part) => part.replaceAll('.', '\\.'))
    .join('|')})$`,
);

/** The HTTP headers a plate file is served with. A browser unpacks the gzipped fields by itself. */
export function plateFileHeaders(name: string): Readonly<{ 'Content-Type': string; 'Content-Encoding'?: 'gzip' }> {
  if (name.endsWith('.jpg')) return { 'Content-Type': 'image/jpeg' };
  if (name.endsWith('.png')) return { 'Content-Type': 'image/png' };
  if (name.endsWith('.json')) return { 'Content-Type': 'application/json' };
  if (name.endsWith('.gz')) return { 'Content-Type': 'application/octet-stream', 'Content-Encoding': 'gzip' };
  throw new RangeError(`no plate file has the name ${name}`);
}
