/**
 * A Comparison as a Comprehensive SR after the Measurement Report template: who observed, the photographs, a group for each zone,
 * and what has to be kept in mind.
 *
 * Source  DICOM PS3.3 A.35.3 (IOD), C.17.2 (document); PS3.16 TID 1500, 1001, 1004, 1204, 1600.
 */

import { errorSourceWords } from '#lib/report/error-source.ts';
import {
  type Code,
  FACE,
  NO_UNIT,
  OWN,
  OWN_SCHEME,
  OWN_SCHEME_NAME,
  OWN_SCHEME_UID,
  ROLE_CODES,
  viewCode,
} from '#lib/report/exchange/codes.ts';
import { derivedUid } from '#lib/report/exchange/derived-id.ts';
import { comparisonSha256, type ExchangeFacts, type Role, subjectOf } from '#lib/report/exchange/facts.ts';
import { headline } from '#lib/report/headline.ts';
import { canonicalJson } from '#shared/canonical-json.ts';
import type { Comparison } from '#shared/comparison.ts';
import { codeContent, containerContent, dateContent, imageContent, numContent, textContent, uidContent } from './content-items.ts';
import { codeItem, daText, MAKER, patientModule, studyModule } from './modules.ts';
import type { DataSet } from './write.ts';
import { pooledGroup, zoneGroup } from './zone-group.ts';

export const COMPREHENSIVE_SR = '1.2.840.10008.5.1.4.1.1.88.33';

/** A photograph that was written as DICOM, as the report refers to it. */
export type ReferredImage = Readonly<{
  role: Role;
  view: Comparison['inputs'][number]['view'];
  day: string | null;
  sopClass: string;
  sopInstance: string;
  series: string;
  study: string;
}>;

const dcm = (value: string, meaning: string): Code => ({ scheme: 'DCM', value, meaning });

/** `day` is that of the report, `YYYY-MM-DD`. The pair must be comparable. */
export function reportDataSet(comparison: Comparison, images: readonly ReferredImage[], facts: ExchangeFacts, day: string): DataSet {
  const title = dcm('126000', 'Imaging Measurement Report');
  const content = contentOf(comparison, images, facts);
  const study = studyModule(comparison, facts, 'after');
  const described: DataSet = {
    SpecificCharacterSet: 'ISO_IR 192',
    SOPClassUID: COMPREHENSIVE_SR,
    ...patientModule(comparison, facts),
    ...study,
    Modality: 'SR',
    SeriesInstanceUID: derivedUid('reports', String(study.StudyInstanceUID)),
    SeriesNumber: 2,
    SeriesDescription: 'Measured change',
    ReferencedPerformedProcedureStepSequence: [],
    Manufacturer: MAKER,
    ManufacturerModelName: MAKER,
    SoftwareVersions: comparison.versions.ebbline,
    InstanceNumber: 1,
    CompletionFlag: 'COMPLETE',
    VerificationFlag: 'UNVERIFIED',
    ContentDate: daText(day),
    ContentTime: '000000',
    PerformedProcedureCodeSequence: [],
    ...evidence('CurrentRequestedProcedureEvidenceSequence', images, 'after'),
    ...evidence('PertinentOtherEvidenceSequence', images, 'before'),
    CodingSchemeIdentificationSequence: [
      {
        CodingSchemeDesignator: OWN_SCHEME,
        CodingSchemeUID: OWN_SCHEME_UID,
        CodingSchemeName: OWN_SCHEME_NAME,
        CodingSchemeVersion: '1',
        CodingSchemeResponsibleOrganization: MAKER,
      },
    ],
    ValueType: 'CONTAINER',
    ConceptNameCodeSequence: [codeItem(title)],
    ContinuityOfContent: 'SEPARATE',
    ContentTemplateSequence: [{ MappingResource: 'DCMR', TemplateIdentifier: '1500' }],
    ContentSequence: content,
  };
  return { ...described, SOPInstanceUID: derivedUid('report', canonicalJson(described), comparisonSha256(comparison)) };
}

function contentOf(comparison: Comparison, images: readonly ReferredImage[], facts: ExchangeFacts): DataSet[] {
  const context = { subject: subjectOf(comparison, facts), versions: comparison.versions, images };
  return [
    codeContent('HAS CONCEPT MOD', dcm('121049', 'Language of Content Item and Descendants'), {
      scheme: 'RFC5646',
      value: 'en',
      meaning: 'English',
    }),
    codeContent('HAS OBS CONTEXT', dcm('121005', 'Observer Type'), dcm('121007', 'Device')),
    uidContent('HAS OBS CONTEXT', dcm('121012', 'Device Observer UID'), derivedUid('device', comparison.versions.ebbline)),
    textContent('HAS OBS CONTEXT', dcm('121013', 'Device Observer Name'), `${MAKER} ${comparison.versions.ebbline}`),
    textContent('HAS OBS CONTEXT', dcm('121014', 'Device Observer Manufacturer'), MAKER),
    textContent('HAS OBS CONTEXT', dcm('121015', 'Device Observer Model Name'), MAKER),
    codeContent('HAS CONCEPT MOD', dcm('121058', 'Procedure reported'), {
      scheme: 'SCT',
      value: '363679005',
      meaning: 'Imaging procedure',
    }),
    ...(images.length > 0 ? [imageLibrary(images)] : []),
    containerContent('CONTAINS', dcm('126010', 'Imaging Measurements'), [
      ...comparison.zones.map((zone) => zoneGroup(zone, context)),
      ...(comparison.pooled ? [pooledGroup(comparison.pooled, context)] : []),
    ]),
    containerContent('CONTAINS', { scheme: 'UMLS', value: 'C0034375', meaning: 'Qualitative Evaluations' }, evaluations(comparison)),
  ];
}

/** TID 1600: what is common to the photographs of a visit, then each of them. */
function imageLibrary(images: readonly ReferredImage[]): DataSet {
  const groups = (['before', 'after'] as const).flatMap((role) => {
    const own = images.filter((image) => image.role === role);
    if (own.length === 0) return [];
    const common = [
      codeContent('HAS ACQ CONTEXT', dcm('121139', 'Modality'), dcm('XC', 'External-camera Photography')),
      codeContent('HAS ACQ CONTEXT', dcm('123014', 'Target Region'), FACE),
      codeContent('HAS ACQ CONTEXT', OWN.photographRole, ROLE_CODES[role]),
    ];
    const entries = own.map((image) =>
      imageContent('CONTAINS', null, image, [
        codeContent('HAS ACQ CONTEXT', OWN.view, viewCode(image.view)),
        ...(image.day ? [dateContent('HAS ACQ CONTEXT', dcm('126201', 'Acquisition Date'), daText(image.day))] : []),
      ]),
    );
    return [containerContent('CONTAINS', dcm('126200', 'Image Library Group'), [...common, ...entries])];
  });
  return containerContent('CONTAINS', dcm('111028', 'Image Library'), groups, '1600');
}

function evaluations(comparison: Comparison): DataSet[] {
  const { control, errorSource, scale, cautions, versions } = comparison;
  return [
    textContent('CONTAINS', dcm('121077', 'Conclusion'), headline(comparison)),
    codeContent('CONTAINS', OWN.control, control.trusted ? OWN.controlHeld : OWN.controlFailed),
    textContent('CONTAINS', OWN.control, control.statement),
    codeContent('CONTAINS', OWN.errorSource, OWN[errorSource]),
    textContent('CONTAINS', OWN.errorSource, `Standard errors ${errorSourceWords(comparison)}.`),
    ...(scale ? [numContent('CONTAINS', OWN.scale, scale.relU, NO_UNIT)] : []),
    textContent('CONTAINS', OWN.parameters, versions.parametersSha256),
    ...cautions.map(({ text }) => textContent('CONTAINS', OWN.caution, text)),
  ];
}

/** Every image the report refers to must be listed by study and series, PS3.3 C.17.2.3. */
function evidence(keyword: string, images: readonly ReferredImage[], role: Role): DataSet {
  const own = images.filter((image) => image.role === role);
  if (own.length === 0) return {};
  const { study, series } = own[0];
  return {
    [keyword]: [
      {
        StudyInstanceUID: study,
        ReferencedSeriesSequence: [
          {
            SeriesInstanceUID: series,
            ReferencedSOPSequence: own.map(({ sopClass, sopInstance }) => ({
              ReferencedSOPClassUID: sopClass,
              ReferencedSOPInstanceUID: sopInstance,
            })),
          },
        ],
      },
    ],
  };
}
