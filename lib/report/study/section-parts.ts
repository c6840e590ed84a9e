/** Pieces that the sections of a study share: figures with what is said in their place, tables by metric, refusals put together. */
import type { Block, Column } from '#lib/report/pdf/blocks.ts';
import { DECIDING_METRICS, METRICS, type MetricId } from '#shared/comparison.ts';
import { unitText } from '#shared/numbers.ts';

/** What is read out is the figure's own title. */
export function figureBlock(svg: string, caption: string, across = 1): Block {
  return { kind: 'figures', across, figures: [{ picture: { svg, alt: titleOf(svg) }, caption }] };
}

export function titleOf(svg: string): string {
  const title = /<title>([\s\S]*?)<\/title>/.exec(svg)?.[1];
  if (!title) throw new Error('a figure without a title says nothing to those who cannot see it');
  return title
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&quot;', '"')
    .replaceAll('&#39;', '\u2019')
    .replaceAll('&amp;', '&');
}

export const right = (head: string, share: number): Column => ({ head, share, align: 'right' });

/** "Volume, mL". */
export const metricHead = (metric: MetricId, scale: 'linear' | 'log' = 'linear'): string => {
  const unit = scale === 'log' ? 'as a factor' : unitText(METRICS[metric].unit);
  return unit === '' ? METRICS[metric].label : `${METRICS[metric].label}, ${unit}`;
};

export const isDeciding = (metric: MetricId): boolean => (DECIDING_METRICS as readonly MetricId[]).includes(metric);

/** When no row was answered: the reasons, each once. */
export function refusalsBlock(rows: readonly Readonly<{ answer: { ok: boolean; detail?: string } }>[]): Block[] {
  const reasons = [...new Set(rows.flatMap(({ answer }) => (answer.ok ? [] : [answer.detail ?? ''])))];
  if (reasons.length === 0) return [{ kind: 'paragraph', words: 'Nothing was measured that this question could be asked of.' }];
  return reasons.slice(0, 3).map((words): Block => ({ kind: 'paragraph', words }));
}
