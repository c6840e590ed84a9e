/** From the names of places to what they hold: the store of a series, and its photographs. */
import { openRecord } from '#lib/record/open.ts';
import { folderPhotographs } from '#lib/record/series/folder-photographs.ts';
import type { Photographs } from '#lib/record/series/photographs.ts';
import { openSqliteSeries } from '#lib/record/series/sqlite-series.ts';
import type { SeriesStore } from '#lib/record/series/types.ts';
import type { PhotoPlace, StorePlace } from './series-messages.ts';
import { shelfPhotographs } from './shelf-photographs.ts';

/** What PostgreSQL and S3 need is loaded only when they are asked for. `inThread`: opened beside the process that tends the queue. */
export async function openStore(place: StorePlace, { inThread = false } = {}): Promise<SeriesStore> {
  if (place.kind === 'sqlite') return openSqliteSeries(place.file);
  const { openPostgresSeries } = await import('#lib/record/series/postgres-series.ts');
  return openPostgresSeries(place.url, { series: place.series, supervise: !inThread, connections: inThread ? 1 : 4 });
}

/** Throws RangeError when a store's address or the environment does not fit. */
export async function openPhotographs(place: PhotoPlace, env: Readonly<Record<string, string | undefined>>): Promise<Photographs> {
  if (typeof place !== 'string') return shelfPhotographs(openRecord({ dataDir: place.dataDir, key: place.key }), place.series);
  if (!place.startsWith('s3:')) return folderPhotographs(place);
  const { s3Photographs, s3Place } = await import('#lib/record/series/store-photographs.ts');
  return s3Photographs(s3Place(place, env));
}
