/** A study's three files: the figures as JSON, and the report as HTML and PDF. */
import { join } from 'node:path';
import { studyHtml } from '#lib/report/study/study-html.ts';
import { studyPdf } from '#lib/report/study/study-pdf.ts';
import type { StudyReport } from '#shared/study.ts';
import { writeFileWhole } from '#workers/commands/out-file.ts';

/** Returns the text of study.json. Throws UsageError when a file cannot be written. */
export async function writeStudy(study: StudyReport, out: string): Promise<string> {
  const text = `${JSON.stringify(study, null, 2)}\n`;
  await writeFileWhole(join(out, 'study.json'), text);
  await writeFileWhole(join(out, 'study.html'), studyHtml(study));
  await writeFileWhole(join(out, 'study.pdf'), (await studyPdf(study)).bytes);
  return text;
}
