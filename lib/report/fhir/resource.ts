/** A resource of FHIR, as plain JSON, and how one refers to another inside a bundle. */
import { derivedUuid } from '#lib/report/exchange/derived-id.ts';

export type Resource = Readonly<{ resourceType: string; id: string } & Record<string, unknown>>;
export type Reference = Readonly<{ reference: string; type: string; display?: string }>;

/** An identifier that follows from what the resource is about. */
export const resourceId = (type: string, ...about: readonly string[]): string => derivedUuid('fhir', type, ...about);

/** How a resource is called inside the bundle, before a server gives it an address. */
export const fullUrl = (resource: Pick<Resource, 'id'>): string => `urn:uuid:${resource.id}`;

export const referenceTo = (resource: Resource, display?: string): Reference => ({
  reference: fullUrl(resource),
  type: resource.resourceType,
  ...(display ? { display } : {}),
});
