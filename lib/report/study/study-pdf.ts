/** The study as a tagged PDF with typefaces set in. Its dates come from the study, never from the clock: same study, same bytes. */
import { createHash } from 'node:crypto';
import { type WrittenPdf, writePdf } from '#lib/report/pdf/write-pdf.ts';
import { canonicalJson } from '#shared/canonical-json.ts';
import type { StudyReport } from '#shared/study.ts';
import { studyBlocks } from './study-blocks.ts';

/** The date of a file whose series nobody dated. */
const UNDATED = '1970-01-01';

export function studyPdf(study: StudyReport): Promise<WrittenPdf> {
  const hash = createHash('sha256').update(canonicalJson(study)).digest('hex');
  return writePdf({
    title: study.title,
    running: `Ebbline study report${study.day ? `, ${study.day}` : ''}`,
    footing: `study ${hash.slice(0, 16)}`,
    draft: null,
    madeAt: `${study.day ?? UNDATED}T00:00:00Z`,
    blocks: studyBlocks(study),
  });
}
