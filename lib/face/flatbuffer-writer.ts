/**
 * Writing a FlatBuffer forward, optionally in front of an existing one that stays untouched.
 *
 * Model   Every object is laid down before the objects it refers to, so references point forward as the format demands.
 *         References inside the existing buffer are relative and keep their meaning when the whole of it moves; new
 *         tables may therefore refer to old ones by their old position, and the old root is simply never visited again.
 * Source  FlatBuffers binary format, https://flatbuffers.dev/internals/ : little endian, each value aligned to its size.
 */

/** Something a new buffer holds. `kept` stands for an object of the existing buffer, by its position there. */
export type FlatNode =
  | Readonly<{ kind: 'table'; fields: Readonly<Record<number, FlatField>> }>
  | Readonly<{ kind: 'tables'; items: readonly FlatNode[] }>
  | Readonly<{ kind: 'ints'; values: ArrayLike<number> }>
  | Readonly<{ kind: 'floats'; values: ArrayLike<number> }>
  | Readonly<{ kind: 'bytes'; values: Uint8Array }>
  | Readonly<{ kind: 'text'; value: string }>
  | Readonly<{ kind: 'kept'; position: number }>;

/** A field of a table: a scalar, or a reference. */
export type FlatField = Readonly<{ byte: number }> | Readonly<{ int: number }> | FlatNode;

export const table = (fields: Readonly<Record<number, FlatField>>): FlatNode => ({ kind: 'table', fields });
export const tables = (items: readonly FlatNode[]): FlatNode => ({ kind: 'tables', items });
export const ints = (values: ArrayLike<number>): FlatNode => ({ kind: 'ints', values });
export const floats = (values: ArrayLike<number>): FlatNode => ({ kind: 'floats', values });
export const bytes = (values: Uint8Array): FlatNode => ({ kind: 'bytes', values });
export const text = (value: string): FlatNode => ({ kind: 'text', value });
export const kept = (position: number): FlatNode => ({ kind: 'kept', position });

/** Tensor buffers must start at multiples of 16 (TFLite schema), and the existing buffer must keep that alignment. */
const ALIGNMENT = 16;
const IDENTIFIER_AT = 4;
const FIRST_OBJECT_AT = 8;

/**
 * The bytes of a FlatBuffer whose root is `root`, followed by `behind` when `kept` nodes refer to it.
 * @param identifier four ASCII characters
 */
export function writeFlatBuffer(root: FlatNode, identifier: string, behind: Uint8Array = new Uint8Array(0)): Uint8Array {
  if (!/^[\x20-\x7e]{4}$/.test(identifier)) throw new RangeError(`a FlatBuffer identifier has four ASCII characters, got "${identifier}"`);
  let view = new DataView(new ArrayBuffer(1 << 16));
  let end = FIRST_OBJECT_AT;
  /** References to the existing buffer, to be closed once the length of the new part is known. */
  const open: { at: number; position: number }[] = [];

  /** Reserves `length` bytes so that the byte `lead` places in is aligned; returns where they start. */
  const reserve = (length: number, alignment: number, lead = 0): number => {
    const start = Math.ceil((end + lead) / alignment) * alignment - lead;
    end = start + length;
    if (end > view.byteLength) {
      const larger = new Uint8Array(2 * end);
      larger.set(new Uint8Array(view.buffer));
      view = new DataView(larger.buffer);
    }
    return start;
  };

  const refer = (at: number, node: FlatNode): void => {
    if (node.kind === 'kept') open.push({ at, position: node.position });
    else {
      const position = lay(node); // first, since laying may move the buffer to a larger one
      view.setUint32(at, position - at, true);
    }
  };

  const vector = (count: number, size: number, alignment: number, padding = 0): number => {
    const start = reserve(4 + count * size + padding, alignment, 4);
    view.setUint32(start, count, true);
    return start;
  };

  const lay = (node: Exclude<FlatNode, { kind: 'kept' }>): number => {
    switch (node.kind) {
      case 'table':
        return layTable(node.fields);
      case 'tables': {
        const start = vector(node.items.length, 4, 4);
        node.items.forEach((item, i) => refer(start + 4 + 4 * i, item));
        return start;
      }
      case 'ints': {
        const start = vector(node.values.length, 4, ALIGNMENT);
        for (let i = 0; i < node.values.length; i++) view.setInt32(start + 4 + 4 * i, node.values[i], true);
        return start;
      }
      case 'floats': {
        const start = vector(node.values.length, 4, ALIGNMENT);
        for (let i = 0; i < node.values.length; i++) view.setFloat32(start + 4 + 4 * i, node.values[i], true);
        return start;
      }
      case 'bytes': {
        const start = vector(node.values.length, 1, ALIGNMENT);
        new Uint8Array(view.buffer).set(node.values, start + 4);
        return start;
      }
      case 'text': {
        const coded = new TextEncoder().encode(node.value);
        const start = vector(coded.length, 1, 4, 1); // strings end in a zero that their length leaves out
        new Uint8Array(view.buffer).set(coded, start + 4);
        return start;
      }
    }
  };

  /** The vtable stands in front of its table: table position minus the signed offset stored there. */
  const layTable = (fields: Readonly<Record<number, FlatField>>): number => {
    const slots = Object.keys(fields).map(Number);
    const vtableLength = 4 + 2 * (Math.max(-1, ...slots) + 1);
    const vtable = reserve(vtableLength, 2);
    const tableLength = 4 + 4 * slots.length; // every field gets four bytes, which keeps all of them aligned
    const start = reserve(tableLength, 4);
    view.setUint16(vtable, vtableLength, true);
    view.setUint16(vtable + 2, tableLength, true);
    view.setInt32(start, start - vtable, true);
    slots.forEach((slot, i) => {
      const at = start + 4 + 4 * i;
      view.setUint16(vtable + 4 + 2 * slot, at - start, true);
      const field = fields[slot];
      if ('kind' in field) refer(at, field);
      else if ('byte' in field) view.setUint8(at, field.byte);
      else view.setInt32(at, field.int, true);
    });
    return start;
  };

  refer(0, root);
  const front = reserve(0, ALIGNMENT);
  const whole = new Uint8Array(front + behind.length);
  whole.set(new Uint8Array(view.buffer, 0, front));
  whole.set(behind, front);
  const out = new DataView(whole.buffer);
  for (const { at, position } of open) out.setUint32(at, front + position - at, true);
  for (let i = 0; i < 4; i++) whole[IDENTIFIER_AT + i] = identifier.charCodeAt(i);
  return whole;
}
