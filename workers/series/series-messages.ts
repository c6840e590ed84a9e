/** What the series runner and its threads say to each other. Plain data; neither side imports the other. */
import type { SeriesTask } from '#lib/record/series/types.ts';

/** Where the series is kept. */
export type StorePlace = Readonly<{ kind: 'sqlite'; file: string }> | Readonly<{ kind: 'postgres'; url: string; series: string }>;
/** The shelf of a record, for a series whose photographs were dropped on the page. */
export type ShelfPlace = Readonly<{ dataDir: string; key: Uint8Array | undefined; series: string }>;
/** Where photographs are read from: a folder, s3://bucket/prefix, or the shelf. */
export type PhotoPlace = string | ShelfPlace;

/** Given to a thread when it starts, beside `stop`. */
export type SeriesStart = Readonly<{
  store: StorePlace;
  photographs: PhotoPlace;
  /** Where plates and reports of pairs are written; null to make none. */
  plates: string | null;
}>;

/** `id` is the pair's. */
export type SeriesWork = Readonly<{ id: string; task: SeriesTask }>;
