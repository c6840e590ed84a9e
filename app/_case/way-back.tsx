/** The way from a comparison back to its case; nothing for one of the bench. */
import { CaseTrail } from '#app/_parts/case-trail.tsx';
import { book } from '#app/_server/actor.ts';
import { visitWords } from './case-lines.ts';

export async function WayBack({ comparison }: { comparison: string }) {
  const cases = await book();
  const owned = await cases.caseComparison(comparison);
  const file = owned && (await cases.caseFile(owned.case));
  if (!owned || !file) return null;
  const wordsOf = (id: string): string => {
    const visit = file.visits.find((one) => one.id === id);
    return visit ? visitWords(visit, file.treatments) : 'a visit';
  };
  return <CaseTrail patientCase={file.patientCase} here={`${wordsOf(owned.beforeVisit)} to ${wordsOf(owned.afterVisit)}`} />;
}
