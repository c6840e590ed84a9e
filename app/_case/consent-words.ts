/** What the patient agrees to, in words. */
import type { ConsentDraft } from '#shared/case.ts';

export const CONSENT_WORDS: Readonly<Record<ConsentDraft['kind'], string>> = {
  photographs: 'Photographs are kept and measured',
  research: 'Use in a study, without name',
};
