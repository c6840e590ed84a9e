/** Puts the demo case into the record at the first start of each version, so that there is a result to look at. */
import type { RecordStore } from '#lib/record/types.ts';
import type { PhotoRef } from '#shared/job.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { demoCase, demoSources } from './demo-case.ts';

/** The id of the demo comparison, being measured or done; null when the user has removed it. */
export async function prepareDemo(record: RecordStore): Promise<string | null> {
  const { code, title, before, after, treatedZones, treatedOn, afterOn } = await demoCase();
  const kept = await record.listComparisons({ demo: true });
  if (!(await record.firstTime(`demo case of version ${EBBLINE_VERSION}`))) return kept[0]?.id ?? null;
  for (const { id } of kept) await record.removeComparison(id);
  const shelve = async (files: readonly string[]): Promise<PhotoRef[]> => {
    const refs: PhotoRef[] = [];
    for (const { name, bytes } of await demoSources(files)) {
      const added = await record.addPhoto(bytes, name);
      if (!added.ok) throw new Error(added.detail);
      refs.push({ sha256: added.value.sha256, name });
    }
    return refs;
  };
  return record.enqueue({
    kind: 'compare',
    title: `Demo case ${code}: ${title}`,
    before: await shelve(before),
    after: await shelve(after),
    options: { treatedZones, treatedOn, afterOn },
    demo: true,
  });
}
