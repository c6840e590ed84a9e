/** A study as the blocks of a report: the same words, tables and figures for the page that opens in a browser and for the printed one. */
import type { Block } from '#lib/report/pdf/blocks.ts';
import type { StudyReport } from '#shared/study.ts';
import { answersSection } from './section-answers.ts';
import { changeSection } from './section-change.ts';
import { flowSection } from './section-flow.ts';
import { courseSection, groupsSection } from './section-groups.ts';
import { madeFromSection } from './section-made-from.ts';
import { ratersSection } from './section-raters.ts';
import { repeatabilitySection } from './section-repeatability.ts';
import { sampleSizeSection } from './section-sample-size.ts';
import { summaryWords } from './study-summary.ts';

export function studyBlocks(study: StudyReport): Block[] {
  const { lead, rest } = summaryWords(study);
  return [
    { kind: 'heading', level: 1, text: study.title },
    { kind: 'paragraph', words: lead, look: 'lead' },
    ...rest.map((words): Block => ({ kind: 'paragraph', words })),
    ...(study.remarks.length > 0
      ? [
          {
            kind: 'box',
            tone: 'warning',
            blocks: [
              { kind: 'paragraph', words: [{ text: 'To be known before any figure', bold: true }] },
              { kind: 'list', items: study.remarks },
            ],
          } satisfies Block,
        ]
      : []),
    ...flowSection(study),
    ...repeatabilitySection(study),
    ...changeSection(study),
    ...groupsSection(study),
    ...courseSection(study),
    ...ratersSection(study),
    ...sampleSizeSection(study),
    ...answersSection(study),
    ...madeFromSection(study),
  ];
}
