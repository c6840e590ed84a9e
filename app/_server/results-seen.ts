/** How often a result of a complaint's visits had been opened before its rating: as the audit's line of that rating says. */
import type { CaseFile, Complaint } from '#shared/case.ts';
import { record } from './record.ts';

/** 0 while it is not rated. */
export async function resultsSeenBefore({ patientCase }: Pick<CaseFile, 'patientCase'>, { id }: Pick<Complaint, 'id'>): Promise<number> {
  let before: number | undefined;
  for (;;) {
    const lines = await record().audit.lines({ case: patientCase.id, ...(before === undefined ? {} : { before }) });
    const rated = lines.find((line) => line.what === 'complaint' && line.id === id && line.facts['stage'] === 'rated');
    if (rated) return Number(rated.facts['resultsSeenBefore'] ?? 0);
    if (lines.length === 0) return 0;
    before = lines.at(-1)!.n;
  }
}
