/**
 * The report that gathers the Observations, in codes and in words, and the Provenance that says what they were made of.
 * Source  FHIR R4: DiagnosticReport (section 10.3), Provenance (6.3), Narrative (2.4).
 */

import { FACE, OWN } from '#lib/report/exchange/codes.ts';
import { orderedInputs } from '#lib/report/exchange/facts.ts';
import { headline } from '#lib/report/headline.ts';
import { escapeText } from '#lib/report/markup.ts';
import { type FhirContext, namedBySha256 } from './context.ts';
import { type Resource, referenceTo, resourceId } from './resource.ts';
import { conceptOf, DATA_ABSENT_EXTENSION, hl7Concept, SYSTEMS, XHTML } from './systems.ts';

/** `results` are the Observations that the report names: control, zones, pooled; metrics hang on their zones. */
export function diagnosticReport(context: FhirContext, results: readonly Resource[]): Resource {
  const { comparison, patient, media, day, effective } = context;
  const sentences = sentencesOf(context);
  const paragraphs = sentences.map((text) => `<p>${escapeText(text)}</p>`).join('');
  return {
    resourceType: 'DiagnosticReport',
    id: resourceId('DiagnosticReport', context.sha256, patient.id),
    text: { status: 'generated', div: `<div xmlns="${XHTML}">${paragraphs}</div>` },
    status: 'preliminary',
    category: [hl7Concept('diagnosticService', 'IMG', 'Diagnostic Imaging')],
    code: { ...conceptOf(OWN.report), text: OWN.report.meaning },
    subject: referenceTo(patient),
    ...effective,
    ...(day ? { issued: `${day}T00:00:00Z` } : {}),
    result: results.map((one) => referenceTo(one)),
    media: orderedInputs(comparison).map((input, k) => ({
      comment: `${FACE.meaning}, ${input.role}, ${input.view}`,
      link: referenceTo(media[k]),
    })),
    // The cautions go with it wherever only this is shown: none of them is small print.
    conclusion: sentences.join('\n'),
  };
}

function sentencesOf({ comparison }: FhirContext): string[] {
  const refusals = comparison.gate.checks.filter(({ verdict }) => verdict === 'refuse').map(({ message }) => message);
  const pooled = comparison.pooled ? [comparison.pooled.statement] : [];
  return [headline(comparison), ...refusals, ...pooled, ...comparison.cautions.map(({ text }) => text)];
}

export function provenance(context: FhirContext, targets: readonly Resource[]): Resource {
  const { comparison, sha256, patient, device, media, day } = context;
  const unknown = { _recorded: { extension: [{ url: DATA_ABSENT_EXTENSION, valueCode: 'unknown' }] } };
  return {
    resourceType: 'Provenance',
    id: resourceId('Provenance', sha256, patient.id),
    target: targets.map((one) => referenceTo(one)),
    ...(day ? { recorded: `${day}T00:00:00Z` } : unknown),
    activity: {
      text: `Comparison of photographs by Ebbline ${comparison.versions.ebbline}, parameters ${comparison.versions.parametersSha256}`,
    },
    agent: [
      {
        type: hl7Concept('participantType', 'assembler', 'Assembler'),
        who: referenceTo(device, `Ebbline ${comparison.versions.ebbline}`),
      },
    ],
    entity: [
      ...media.map((one, k) => ({
        role: 'source',
        what: { ...referenceTo(one), identifier: { system: SYSTEMS.uri, value: namedBySha256(orderedInputs(comparison)[k].sha256) } },
      })),
      {
        role: 'derivation',
        what: { identifier: { system: SYSTEMS.uri, value: namedBySha256(sha256) }, display: 'The comparison as canonical JSON' },
      },
    ],
  };
}
