/** The pictures of a kept comparison, as a report needs them: opened, with their plates' facts, view by view. */
import type { ReportView } from '#lib/report/report-views.ts';
import { type Comparison, VIEWS } from '#shared/comparison.ts';
import { type Evidence, evidenceSchema, FIELD_FILES } from '#shared/field.ts';
import { type PlateInfo, type PlatePart, plateFileName, plateInfoSchema } from '#shared/plates.ts';
import { record } from './record.ts';

const AS_TAKEN = ['beforeAsTaken', 'afterAsTaken'] as const satisfies readonly PlatePart[];
const PRINTED = [
  ...AS_TAKEN,
  'before',
  'afterAligned',
  'afterRelit',
  'changePicture',
  'lightnessPicture',
] as const satisfies readonly PlatePart[];

/** In the order of VIEWS. Files that are not there are left out. `asTaken` leaves out everything that was measured. */
export async function reportViews(id: string, { inputs }: Comparison, { asTaken = false } = {}): Promise<ReportView[]> {
  const views: ReportView[] = [];
  for (const view of VIEWS) {
    if (!inputs.some((input) => input.view === view)) continue;
    const pictures: Partial<Record<PlatePart, Uint8Array>> = {};
    for (const part of asTaken ? AS_TAKEN : PRINTED) {
      const bytes = await record().plateFile(id, plateFileName(view, part));
      if (bytes) pictures[part] = bytes;
    }
    const info = asTaken ? null : await jsonFile(id, plateFileName(view, 'info'));
    views.push({ view, info: info === null ? null : (plateInfoSchema.parse(info) satisfies PlateInfo), pictures });
  }
  return views;
}

/** Null when nothing was measured. */
export async function reportEvidence(id: string): Promise<Evidence | null> {
  const evidence = await jsonFile(id, FIELD_FILES.evidence);
  return evidence === null ? null : evidenceSchema.parse(evidence);
}

async function jsonFile(id: string, name: string): Promise<unknown> {
  const bytes = await record().plateFile(id, name);
  return bytes ? JSON.parse(new TextDecoder().decode(bytes)) : null;
}
