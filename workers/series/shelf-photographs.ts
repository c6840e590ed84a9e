/** Photographs of a series that were dropped on the page: by the manifest's names, from the shelf of the record. */
import type { Photographs } from '#lib/record/series/photographs.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { VaultError } from '#lib/record/vault-error.ts';
import { found, refused } from '#shared/outcome.ts';

export async function shelfPhotographs(record: Pick<RecordStore, 'seriesPhotos' | 'photoBytes'>, series: string): Promise<Photographs> {
  const addressOf = new Map((await record.seriesPhotos(series)).map(({ file, sha256 }) => [file, sha256]));
  return {
    read: async (file) => {
      const sha256 = addressOf.get(file);
      try {
        const bytes = sha256 === undefined ? null : await record.photoBytes(sha256);
        return bytes ? found(bytes) : refused('no-file', `${file} is not among the photographs of the series.`);
      } catch (error) {
        if (!(error instanceof VaultError)) throw error;
        return refused('unreadable', `${file}: ${error.message}`);
      }
    },
    // What lies on the shelf is never edited.
    stamp: async (file) => addressOf.get(file) ?? null,
  };
}
