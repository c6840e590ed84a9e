/**
 * Comparisons as FHIR R4 bundles: a collection to be read, or a transaction that a server can take in, again without doubling.
 * Source  FHIR R4: Bundle (section 2.36), transactions (3.1.0.11).
 */

import { derivedUuid } from '#lib/report/exchange/derived-id.ts';
import type { ExchangeFacts } from '#lib/report/exchange/facts.ts';
import type { Comparison } from '#shared/comparison.ts';
import { type FhirOptions, fhirContext } from './context.ts';
import { controlObservation, pooledObservation, zoneResources } from './observations.ts';
import { diagnosticReport, provenance } from './report.ts';
import { fullUrl, type Resource } from './resource.ts';

export type { FhirOptions } from './context.ts';

/** `collection` as usual. `transaction` puts each resource under its own id. */
export type BundleType = 'collection' | 'transaction';

export type FhirBundle = Readonly<{
  resourceType: 'Bundle';
  id: string;
  type: BundleType;
  entry: readonly Readonly<{ fullUrl: string; resource: Resource; request?: Readonly<{ method: 'PUT'; url: string }> }>[];
}>;

/**
 * All resources of one Comparison, each once: Patient, Device, Media, BodyStructure, Observation, DiagnosticReport, Provenance.
 * A pair that is not comparable has a report that says so and no zones. Same inputs, same resources.
 */
export function fhirResources(comparison: Comparison, facts: ExchangeFacts = {}, options: FhirOptions = {}): Resource[] {
  const context = fhirContext(comparison, facts, options);
  const zones = comparison.zones.map((zone) => zoneResources(zone, context));
  const pooled = pooledObservation(context);
  const results = [controlObservation(context), ...(pooled ? [pooled] : []), ...zones.map(({ panel }) => panel)];
  const metrics = zones.flatMap((zone) => zone.metrics);
  const report = diagnosticReport(context, results);
  return [
    context.patient,
    context.device,
    ...context.media,
    ...zones.map(({ place }) => place),
    report,
    ...results,
    ...metrics,
    provenance(context, [report, ...results, ...metrics]),
  ];
}

export function fhirOfComparison(
  comparison: Comparison,
  facts: ExchangeFacts = {},
  options: FhirOptions & Readonly<{ type?: BundleType }> = {},
): FhirBundle {
  return bundleOf(fhirResources(comparison, facts, options), options.type ?? 'collection');
}

/** One Comparison of a series, with whose it is and when. */
export type SeriesItem = Readonly<{ comparison: Comparison; facts?: ExchangeFacts; options?: FhirOptions }>;

/**
 * Several Comparisons in one bundle; patients, places, photographs and devices that they share are in it once. All of it is held in
 * memory, about 1 MB for each Comparison: for long series write `fhirResources` of each as lines instead.
 */
export function fhirOfSeries(items: Iterable<SeriesItem>, type: BundleType = 'collection'): FhirBundle {
  const resources = new Map<string, Resource>();
  for (const { comparison, facts, options } of items)
    for (const resource of fhirResources(comparison, facts, options)) if (!resources.has(resource.id)) resources.set(resource.id, resource);
  return bundleOf([...resources.values()], type);
}

function bundleOf(resources: readonly Resource[], type: BundleType): FhirBundle {
  return {
    resourceType: 'Bundle',
    id: derivedUuid('bundle', type, ...resources.map(({ id }) => id)),
    type,
    entry: resources.map((resource) => ({
      fullUrl: fullUrl(resource),
      resource,
      ...(type === 'transaction' ? { request: { method: 'PUT' as const, url: `${resource.resourceType}/${resource.id}` } } : {}),
    })),
  };
}
