/**
 * Rows of a table as Parquet, group of rows by group of rows, so that no table is ever whole in memory.
 * Source  the Parquet format, by hyparquet-writer; compression is Snappy.
 */
import { type ColumnSource, ParquetWriter, schemaFromColumnData, type Writer } from 'hyparquet-writer';
import { EBBLINE_VERSION } from '#shared/version.ts';
import type { FieldType, Table } from './table-fields.ts';
import { cellOf, plain } from './table-text.ts';

const TYPES = { string: 'STRING', list: 'STRING', integer: 'INT32', number: 'DOUBLE', boolean: 'BOOLEAN' } as const satisfies Record<
  FieldType,
  string
>;
/** About 10 MB of rows in memory. */
const GROUP_ROWS = 20_000;

export type ParquetTable<Row> = Readonly<{ add: (rows: readonly Row[]) => void; end: () => void }>;

/** `writer` takes the bytes; it is finished by `end`. */
export function parquetTable<Row>(table: Table<Row>, writer: Writer): ParquetTable<Row> {
  let held: Row[] = [];
  const columns = (): ColumnSource[] =>
    table.fields.map((field) => ({
      name: field.name,
      type: TYPES[field.type],
      nullable: !field.required,
      data: held.map((row) => plain(cellOf(row, field))),
    }));
  const parquet = new ParquetWriter({
    writer,
    schema: schemaFromColumnData({ columnData: columns() }),
    createdBy: `Ebbline ${EBBLINE_VERSION}`,
  });
  const flush = (): void => {
    if (held.length > 0) parquet.write({ columnData: columns(), rowGroupSize: GROUP_ROWS });
    held = [];
  };
  return {
    add: (rows) => {
      for (const row of rows) {
        held.push(row);
        if (held.length >= GROUP_ROWS) flush();
      }
    },
    end: () => {
      flush();
      parquet.finish();
    },
  };
}
