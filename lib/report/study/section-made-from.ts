/** What a reader needs to make the study again: tables by their hashes, versions, options; and what the program is not. */
import type { Block, Words } from '#lib/report/pdf/blocks.ts';
import type { StudyReport } from '#shared/study.ts';

const PER_SUBJECT = { last: 'the last follow-up', first: 'the first follow-up', mean: 'the mean of the follow-ups' } as const;

export function madeFromSection({ madeFrom, versions, options, schema }: StudyReport): Block[] {
  const hash = (name: string, sha256: string): Words => [`${name} `, { text: sha256, mono: true }];
  return [
    { kind: 'heading', level: 2, text: 'Made from' },
    {
      kind: 'list',
      look: 'small',
      items: [
        hash('results.csv', madeFrom.resultsSha256),
        hash('pairs.csv', madeFrom.pairsSha256),
        ...(madeFrom.ratingsSha256 ? [hash('ratings.csv', madeFrom.ratingsSha256)] : []),
        `Measured by Ebbline ${versions.measured.join(', ')}; statistics by Ebbline ${versions.statistics}, schema ${schema}.`,
        ...versions.parametersSha256.slice(0, 3).map((sha256) => hash('Parameters', sha256)),
        `One value a subject: ${PER_SUBJECT[options.perSubject]}. Pairs whose reference zones changed: ${options.untrusted === 'kept' ? 'kept' : 'left out'}. Seed ${options.seed}.` +
          `${options.covariate ? ` Covariate: ${options.covariate}.` : ''}`,
      ],
    },
    {
      kind: 'paragraph',
      look: 'small',
      words:
        'An aid to documentation; not a diagnosis and not a medical device. A measured change does not explain its cause, and no measured change does not make a complaint unfounded.',
    },
  ];
}
