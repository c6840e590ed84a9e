/** Leaves a line of the audit for a comparison that was looked at or taken away, under its case where it has one. */
import type { AuditLine } from '#shared/case.ts';
import { book } from './actor.ts';

export async function noteComparison(action: 'view' | 'export', id: string, facts: AuditLine['facts'] = {}): Promise<void> {
  const cases = await book();
  const known = await cases.caseComparison(id);
  await cases.note({ action, what: 'comparison', id, case: known?.case ?? null, facts });
}
