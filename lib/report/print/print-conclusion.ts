/** What practitioner and patient concluded, in print, and what common practice would suggest with its reasons. */

import type { ComplaintAnswer } from '#lib/report/complaint-answer.ts';
import { COMMON_PRACTICE, NEXT_STEP_WORDS } from '#lib/report/complaint-words.ts';
import type { Block } from '#lib/report/pdf/blocks.ts';
import type { Complaint } from '#shared/case.ts';
import { momentText } from './stamp.ts';

export function conclusionBlocks({ conclusion }: Complaint, { next, reviewOn }: ComplaintAnswer): Block[] {
  const proposed = next.filter((one) => one.proposed);
  return [
    { kind: 'heading', level: 2, text: 'Next steps' },
    ...(conclusion
      ? [
          {
            kind: 'paragraph',
            words: [
              { text: `Concluded ${momentText(conclusion.at)}: `, bold: true },
              `${conclusion.part.steps.map((step) => NEXT_STEP_WORDS[step]).join('; ')}.`,
              conclusion.part.reviewOn ? ` Next review on ${conclusion.part.reviewOn}.` : ' No review was arranged.',
            ],
          } as const,
          ...(conclusion.part.note.trim() ? [{ kind: 'paragraph', look: 'quote', words: conclusion.part.note.trim() } as const] : []),
        ]
      : [{ kind: 'paragraph', look: 'note', words: `Not concluded yet. A review on ${reviewOn} is suggested.` } as const]),
    { kind: 'heading', level: 3, text: `What is suggested, with its reasons (where marked, ${COMMON_PRACTICE})` },
    {
      kind: 'list',
      look: 'small',
      items: proposed.map(({ step, reasons }) => [{ text: `${NEXT_STEP_WORDS[step]}: `, bold: true }, reasons.join(' ')]),
    },
  ];
}
