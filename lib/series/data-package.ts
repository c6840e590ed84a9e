/**
 * The tables of a series described for other programs: a Frictionless Data Package with a Table Schema for each.
 * Source  Data Package 1 and Table Schema 1, specs.frictionlessdata.io; version 2 reads the same.
 */
import type { FieldType, Table } from './table-fields.ts';

/** A table as it was written. `parquet` names the same rows in Parquet, if they were written so. */
export type WrittenTable = Readonly<{ table: Table<never>; file: string; bytes: number; sha256: string }>;

const TYPES = { string: 'string', list: 'string', integer: 'integer', number: 'number', boolean: 'boolean' } as const satisfies Record<
  FieldType,
  string
>;

export function dataPackage(tables: readonly WrittenTable[], version: string): unknown {
  return {
    profile: 'tabular-data-package',
    name: 'ebbline-series',
    title: 'A series of comparisons of photographs of faces',
    description: 'Loss is negative, gain positive; left and right are the subject\u2019s. An aid to documentation, not a diagnosis.',
    ebblineVersion: version,
    resources: tables.map(({ table, file, bytes, sha256 }) => ({
      profile: 'tabular-data-resource',
      name: table.name,
      path: file,
      title: table.title,
      format: 'csv',
      mediatype: 'text/csv',
      encoding: 'utf-8',
      bytes,
      hash: `sha256:${sha256}`,
      dialect: { delimiter: ',', lineTerminator: '\r\n', quoteChar: '"', doubleQuote: true, header: true },
      schema: tableSchema(table),
    })),
  };
}

function tableSchema({ fields, key, name }: Table<never>): unknown {
  return {
    fields: fields.map(({ name: field, type, required, about, unit, among }) => ({
      name: field,
      type: TYPES[type],
      description: `${about}${type === 'list' ? '; several are parted by semicolons' : ''}${unit ? `. Unit: ${unit}` : ''}`,
      ...(unit ? { unit } : {}),
      constraints: { required, ...(among ? { enum: among } : {}) },
    })),
    missingValues: [''],
    ...(key.length > 0 ? { primaryKey: key } : {}),
    ...(name === 'pairs' || !fields.some((field) => (field.name as string) === 'pair') || name === 'failures'
      ? {}
      : { foreignKeys: [{ fields: 'pair', reference: { resource: 'pairs', fields: 'pair' } }] }),
  };
}
