/** Everything that is written of one measured pair: plates of every view, pictures as taken, the report, the table. */
import { createHash } from 'node:crypto';
import type { ComparedPair, PhotoSource } from '#lib/compare/types.ts';
import type { NamedFile } from '#lib/record/types.ts';
import { csvFromComparison } from '#lib/report/csv.ts';
import { reportHtml } from '#lib/report/report-html.ts';
import type { ReportView } from '#lib/report/report-views.ts';
import { VIEWS, type View } from '#shared/comparison.ts';
import type { PlatePart } from '#shared/plates.ts';
import { fieldFiles } from './field-files.ts';
import type { Measuring } from './measuring.ts';
import { plateBytes } from './plate-files.ts';

export type ComparisonFiles = Readonly<{
  /** In the order of VIEWS; parts that do not exist are absent. */
  views: readonly ReportView[];
  report: Uint8Array;
  table: Uint8Array;
  /** By the names of FIELD_FILES; none when the pair is not comparable. */
  field: readonly NamedFile[];
}>;

export type Written = Readonly<{
  pair: ComparedPair;
  sources: readonly PhotoSource[];
  title: string;
  /** A picture as taken that is there already, by SHA-256; null to have it made. */
  keptPreview?: (sha256: string) => Promise<Uint8Array | null>;
  onProgress?: (step: string, done: number) => void;
}>;

export async function comparisonFiles(
  measuring: Pick<Measuring, 'preview'>,
  { pair, sources, title, keptPreview, onProgress }: Written,
): Promise<ComparisonFiles> {
  const { comparison, plates } = pair;
  const bySha256 = new Map(sources.map((source) => [createHash('sha256').update(source.bytes).digest('hex'), source]));
  const asTaken = async (view: View, role: 'before' | 'after'): Promise<Uint8Array | undefined> => {
    const input = comparison.inputs.find((one) => one.view === view && one.role === role);
    const source = input && bySha256.get(input.sha256);
    if (!input || !source) return undefined;
    const kept = await keptPreview?.(input.sha256);
    if (kept) return kept;
    const made = await measuring.preview(source);
    return made.ok ? made.value : undefined;
  };

  const shown = VIEWS.filter((view) => comparison.inputs.some((input) => input.view === view));
  const views: ReportView[] = [];
  for (const [k, view] of shown.entries()) {
    onProgress?.('Drawing the maps', k / shown.length);
    const plate = plates.find((one) => one.view === view);
    const drawn = plate ? await plateBytes(plate) : null;
    const pictures: Partial<Record<PlatePart, Uint8Array>> = { ...drawn?.parts };
    const [before, after] = [await asTaken(view, 'before'), await asTaken(view, 'after')];
    if (before) pictures.beforeAsTaken = before;
    if (after) pictures.afterAsTaken = after;
    views.push({ view, info: drawn?.info ?? null, pictures });
  }
  onProgress?.('Writing the report', 1);
  const text = new TextEncoder();
  const evidence = pair.field?.evidence ?? null;
  return {
    views,
    report: text.encode(reportHtml(comparison, { title, views, evidence })),
    table: text.encode(csvFromComparison(comparison)),
    field: pair.field ? await fieldFiles(pair.field) : [],
  };
}
