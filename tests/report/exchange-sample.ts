/**
 * A Comparison with everything in it that an exchange has to carry: three views, every metric, uneven intervals, a zone that is not
 * assessable, cautions; and pictures for it. Made up number by number.
 */
import sharp from 'sharp';
import type { ExchangePhotograph } from '#lib/report/exchange/facts.ts';
import { cautionsFor } from '#shared/cautions.ts';
import { type Comparison, comparisonSchema, METRIC_IDS, type MetricId, type MetricResult } from '#shared/comparison.ts';
import { sampleComparison } from '#tests/report/sample-comparison.ts';

/** Numbers that no short decimal holds, each different. */
function fullMetrics(seed: number): Record<MetricId, MetricResult> {
  return Object.fromEntries(
    METRIC_IDS.map((id, k) => {
      const value = Math.sin(seed + k) * (id.endsWith('Ratio') ? 0.4 : 2) + (id.endsWith('Ratio') ? 1 : 0);
      const u = 0.1 + 0.01 * k + 1 / (7 + seed);
      return [
        id,
        {
          value,
          u,
          ci95: [value - 1.8 * u, value + 2.1 * u],
          sdc: 2.77 * u,
          p: Math.abs(Math.cos(seed + k)) / 3,
          pHolm: 1,
          finding: k % 3 === 0 ? 'beyond-error' : 'within-error',
        },
      ];
    }),
  ) as Record<MetricId, MetricResult>;
}

export function exchangeComparison(): Comparison {
  const sample = sampleComparison();
  const [before, after] = sample.inputs;
  const views = ['frontal', 'oblique-left', 'oblique-right'] as const;
  const inputs = [before, after].flatMap((input, role) =>
    views.map((view, k) => ({ ...input, view, name: `${input.role}-${view}.jpg`, sha256: `${role}${k}`.padEnd(64, 'e') })),
  );
  const zones = sample.zones.map((zone, k) => (zone.assessable ? { ...zone, metrics: fullMetrics(k) } : zone));
  const comparison = { ...sample, inputs, zones };
  return comparisonSchema.parse({ ...comparison, cautions: cautionsFor(comparison, { daysSinceTreatment: 5 }) });
}

/** Upright sRGB JPEGs of uneven sizes, some with an odd number of bytes. */
export async function exchangePhotographs(comparison: Comparison): Promise<ExchangePhotograph[]> {
  return Promise.all(
    comparison.inputs.map(async ({ role, view }, k) => {
      const picture = sharp({ create: { width: 301 + k, height: 402, channels: 3, background: { r: 180, g: 120 + 5 * k, b: 90 } } });
      const jpeg = await picture.withIccProfile('srgb').jpeg({ quality: 85 }).toBuffer();
      return { role, view, jpeg: new Uint8Array(jpeg) };
    }),
  );
}
