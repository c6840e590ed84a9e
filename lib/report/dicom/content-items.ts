/**
 * Content items of a structured report, one function for each kind of value.
 * Source  DICOM PS3.3 C.17.3 and C.18; decimal texts PS3.5 table 6.2-1, type DS.
 */
import type { Code } from '#lib/report/exchange/codes.ts';
import { codeItem } from './modules.ts';
import type { DataSet } from './write.ts';

export type Relation = 'CONTAINS' | 'HAS PROPERTIES' | 'HAS OBS CONTEXT' | 'HAS ACQ CONTEXT' | 'HAS CONCEPT MOD';

const item = (relation: Relation, type: string, name: Code | null, value: DataSet, children: readonly DataSet[] = []): DataSet => ({
  RelationshipType: relation,
  ValueType: type,
  ...(name ? { ConceptNameCodeSequence: [codeItem(name)] } : {}),
  ...value,
  ...(children.length > 0 ? { ContentSequence: children } : {}),
});

export const codeContent = (relation: Relation, name: Code, value: Code, children: readonly DataSet[] = []): DataSet =>
  item(relation, 'CODE', name, { ConceptCodeSequence: [codeItem(value)] }, children);

export const textContent = (relation: Relation, name: Code, text: string): DataSet => item(relation, 'TEXT', name, { TextValue: text });

export const uidContent = (relation: Relation, name: Code, uid: string): DataSet => item(relation, 'UIDREF', name, { UID: uid });

/** `day` is "20260901". */
export const dateContent = (relation: Relation, name: Code, day: string): DataSet => item(relation, 'DATE', name, { Date: day });

/** The decimal text is rounded to what its type can hold; the double beside it is exact. */
export const numContent = (relation: Relation, name: Code, value: number, unit: Code, children: readonly DataSet[] = []): DataSet =>
  item(
    relation,
    'NUM',
    name,
    {
      MeasuredValueSequence: [
        { MeasurementUnitsCodeSequence: [codeItem(unit)], NumericValue: decimalText(value), FloatingPointValue: value },
      ],
    },
    children,
  );

export type ImageReference = Readonly<{ sopClass: string; sopInstance: string }>;

export const imageContent = (relation: Relation, name: Code | null, image: ImageReference, children: readonly DataSet[] = []): DataSet =>
  item(
    relation,
    'IMAGE',
    name,
    { ReferencedSOPSequence: [{ ReferencedSOPClassUID: image.sopClass, ReferencedSOPInstanceUID: image.sopInstance }] },
    children,
  );

/** `template` is the number of a template of the standard's own mapping resource. */
export const containerContent = (relation: Relation, name: Code, children: readonly DataSet[], template?: string): DataSet =>
  item(
    relation,
    'CONTAINER',
    name,
    {
      ContinuityOfContent: 'SEPARATE',
      ...(template ? { ContentTemplateSequence: [{ MappingResource: 'DCMR', TemplateIdentifier: template }] } : {}),
    },
    children,
  );

const LONGEST_DECIMAL = 16;

/** The most digits that fit into 16 characters. Throws RangeError for what is no number. */
export function decimalText(value: number): string {
  if (!Number.isFinite(value)) throw new RangeError(`only a finite number can be written, got ${value}`);
  for (let digits = 16; digits > 0; digits--) {
    const text = String(Number(value.toPrecision(digits)));
    if (text.length <= LONGEST_DECIMAL) return text;
  }
  throw new RangeError(`${value} does not fit into ${LONGEST_DECIMAL} characters`);
}
