/**
 * The manifest's form for other programs: JSON Schema of its JSON form, made of the very schema that reads it.
 * Source  JSON Schema 2020-12, as zod writes it.
 */
import { z } from 'zod';
import { MANIFEST_SCHEMA, manifestRowSchema, REQUIRED_FIELDS } from './manifest-row.ts';

/** Kept in `docs/series/manifest.schema.json`, and held to it by a test. */
export function manifestJsonSchema(): unknown {
  const row = z.toJSONSchema(manifestRowSchema, { target: 'draft-2020-12' }) as { properties: Record<string, unknown> };
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'Manifest of a series',
    type: 'object',
    required: ['schema', 'photographs'],
    additionalProperties: false,
    properties: {
      schema: { const: MANIFEST_SCHEMA },
      photographs: {
        type: 'array',
        minItems: 1,
        items: {
          type: 'object',
          required: REQUIRED_FIELDS,
          additionalProperties: false,
          properties: row.properties,
          patternProperties: {
            '^rater:[^:]+(:[^:]+)?$': {
              description: 'A grade of the whole face, or of a zone: the follow-up against the baseline, worse is negative.',
              type: ['integer', 'null'],
              minimum: -4,
              maximum: 4,
            },
          },
        },
      },
    },
  };
}
