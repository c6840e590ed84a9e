/** Whom a case's report is about, as printed: the code, never the name unless it was asked for, and the visits compared. */

import type { Block, Words } from '#lib/report/pdf/blocks.ts';
import type { PatientCase, Treatment, Visit } from '#shared/case.ts';
import { zoneLabel } from '#shared/zones.ts';

export type Subject = Readonly<{
  code: string;
  /** Null unless the name was asked for. */
  name: string | null;
  before: Pick<Visit, 'on' | 'label'>;
  after: Pick<Visit, 'on' | 'label'>;
  /** Oldest first. */
  treatments: readonly Pick<Treatment, 'on' | 'purpose' | 'zones' | 'productClass' | 'volumeMl'>[];
}>;

export const PURPOSE_WORDS: Readonly<Record<Treatment['purpose'], string>> = {
  'gel-placed': 'gel placed',
  'gel-dissolved': 'gel dissolved',
  'gel-pressed-out': 'gel pressed out',
  'energy-device': 'energy device',
};

/** `withName` says that whoever makes the report asked for it. */
export function subjectOf(
  patientCase: Pick<PatientCase, 'code' | 'name'>,
  visits: Readonly<{ before: Visit; after: Visit }>,
  treatments: readonly Treatment[],
  withName: boolean,
): Subject {
  const visit = ({ on, label }: Visit): Subject['before'] => ({ on, label });
  return {
    code: patientCase.code,
    name: withName ? patientCase.name : null,
    before: visit(visits.before),
    after: visit(visits.after),
    treatments: treatments.map(({ on, purpose, zones, productClass, volumeMl }) => ({ on, purpose, zones, productClass, volumeMl })),
  };
}

/** The facts under the heading of a report of a case. */
export function subjectBlocks({ code, name, before, after, treatments }: Subject): Block[] {
  const day = ({ on, label }: Subject['before']): string => (label ? `${on} (${label})` : on);
  const between = treatments.filter(({ on }) => on >= before.on && on <= after.on);
  const lines: Words[] = [
    [{ text: 'Case ', bold: true }, code, ...(name ? [{ text: '   Name ', bold: true }, name] : [])],
    [{ text: 'Before ', bold: true }, `visit of ${day(before)}   `, { text: 'After ', bold: true }, `visit of ${day(after)}`],
    ...(between.length > 0
      ? [
          [
            { text: 'Treated between ', bold: true },
            between.map(({ on, purpose, zones }) => `${on} ${PURPOSE_WORDS[purpose]}: ${zones.map(zoneLabel).join('; ')}`).join(' \u00b7 '),
          ],
        ]
      : []),
  ];
  return lines.map((words) => ({ kind: 'paragraph', words }));
}
