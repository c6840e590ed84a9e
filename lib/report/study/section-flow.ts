/** Where the data went: the flow chart, and how often each zone could be judged. */
import type { Block } from '#lib/report/pdf/blocks.ts';
import type { StudyReport } from '#shared/study.ts';
import { zoneLabel } from '#shared/zones.ts';
import { flowFigure } from './flow-figure.ts';
import { figureBlock } from './section-parts.ts';
import { percent } from './study-words.ts';

export function flowSection({ flow }: StudyReport): Block[] {
  const named = flow.reasons.length > 0 ? ' A pair with several reasons counts under each.' : '';
  const rows = flow.zones.map(({ zone, reference, pairs, assessable, subjects }) => ({
    cells: [
      zoneLabel(zone) + (reference ? ' (reference)' : ''),
      `${assessable} of ${pairs}`,
      percent(assessable / pairs),
      String(subjects),
    ],
  }));
  return [
    { kind: 'heading', level: 2, text: 'Where the data went' },
    figureBlock(flowFigure(flow), `From subjects to judged zones, what fell out to the right.${named}`),
    ...(rows.length > 0
      ? [
          {
            kind: 'table',
            caption: 'Change pairs in which each zone could be judged',
            rowHeads: 0,
            columns: [
              { head: 'Zone', share: 3 },
              { head: 'Pairs', share: 1.4, align: 'right' },
              { head: 'Share', share: 1, align: 'right' },
              { head: 'Subjects', share: 1, align: 'right' },
            ],
            rows,
          } satisfies Block,
        ]
      : []),
  ];
}
