/**
 * Rows of a table as CSV, column by column of its dictionary.
 * Source  RFC 4180: comma, CRLF, quotes doubled. Numbers in full, with a point; nothing is empty; lists are parted by semicolons.
 */
import { stringify } from 'csv-stringify/sync';
import type { Field, Table } from './table-fields.ts';

type Cell = string | number | boolean | null | readonly string[];

const how = { record_delimiter: '\r\n', cast: { boolean: String, number: String } } as const;

export const tableHead = <Row>({ fields }: Table<Row>): string => stringify([fields.map(({ name }) => name)], how);

export const tableLines = <Row>({ fields }: Table<Row>, rows: readonly Row[]): string =>
  rows.length === 0
    ? ''
    : stringify(
        rows.map((row) => fields.map((field) => plain(cellOf(row, field)))),
        how,
      );

export const cellOf = <Row>(row: Row, { name }: Field<Extract<keyof Row, string>>): Cell => row[name] as Cell;

export const plain = (cell: Cell): string | number | boolean | null => (typeof cell === 'object' && cell !== null ? cell.join(';') : cell);
