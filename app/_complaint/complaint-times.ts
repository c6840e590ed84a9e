/** When the parts of a complaint were recorded, in the order in which they had to be. */
import type { Complaint } from '#shared/case.ts';

export type StageTime = Readonly<{ stage: Complaint['stage']; words: string; at: string | null }>;

export function stageTimes({ openedAt, patient, examiner, revealed, conclusion }: Complaint): StageTime[] {
  return [
    { stage: 'opened', words: 'Opened', at: openedAt },
    { stage: 'heard', words: 'Patient heard', at: patient?.at ?? null },
    { stage: 'rated', words: 'Rated by the examiner', at: examiner?.at ?? null },
    { stage: 'revealed', words: 'Measurement shown', at: revealed?.at ?? null },
    { stage: 'concluded', words: 'Concluded', at: conclusion?.at ?? null },
  ];
}

/** "2026-11-20 10:05 UTC". */
export const timeWords = (at: string): string => `${at.slice(0, 10)} ${at.slice(11, 16)} UTC`;
