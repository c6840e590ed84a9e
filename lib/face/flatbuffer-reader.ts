/**
 * Reading a FlatBuffer without its schema: tables, vectors and strings by field number.
 *
 * Frame   Byte positions from the start of the buffer. A table's position is where its vtable offset stands; a vector's
 *         where its length stands. Position 0 is the root pointer, so it never names a field.
 * Source  FlatBuffers binary format, https://flatbuffers.dev/internals/ : little endian; references are unsigned 32-bit
 *         and point forward from where they stand; a vtable may lie on either side of its table.
 */

export type FlatView = DataView;

/** The position of the root table. */
export const rootTable = (view: FlatView): number => view.getUint32(0, true);

/** Where field `field` of the table at `table` stands, or 0 when the table leaves it at its default. */
export function fieldAt(view: FlatView, table: number, field: number): number {
  const vtable = table - view.getInt32(table, true);
  const slot = 4 + 2 * field;
  if (slot >= view.getUint16(vtable, true)) return 0;
  const offset = view.getUint16(vtable + slot, true);
  return offset === 0 ? 0 : table + offset;
}

/** Follows the reference that stands at `at`. */
export const follow = (view: FlatView, at: number): number => at + view.getUint32(at, true);

/** The table, vector or string that field `field` refers to. Throws when the field is absent. */
export function referredBy(view: FlatView, table: number, field: number): number {
  const at = fieldAt(view, table, field);
  if (at === 0) throw new Error(`the table at ${table} has no field ${field}`);
  return follow(view, at);
}

/** The positions of the tables in a vector of tables. */
export function tablesIn(view: FlatView, vector: number): number[] {
  return Array.from({ length: view.getUint32(vector, true) }, (_, i) => follow(view, vector + 4 + 4 * i));
}

/** A vector of 32-bit integers. */
export function intsIn(view: FlatView, vector: number): number[] {
  return Array.from({ length: view.getUint32(vector, true) }, (_, i) => view.getInt32(vector + 4 + 4 * i, true));
}

/** A string, or any vector of bytes, as text. */
export function textIn(view: FlatView, vector: number): string {
  const length = view.getUint32(vector, true);
  return new TextDecoder().decode(new Uint8Array(view.buffer, view.byteOffset + vector + 4, length));
}
