/** The sign of the change that decided a zone: -1 loss or darker, 1 gain or lighter, 0 within error or unknown. */
import type { ZoneResult } from '#shared/comparison.ts';
import { leadingMetric } from '#shared/finding-words.ts';

export function findingSign(zone: ZoneResult): number {
  if (zone.finding !== 'beyond-error') return 0;
  const deciding = zone.metrics.volumeMl?.finding === 'beyond-error' ? zone.metrics.volumeMl : leadingMetric(zone)?.result;
  return deciding ? Math.sign(deciding.value) : 0;
}
