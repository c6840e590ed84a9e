import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fieldAt, follow, intsIn, referredBy, rootTable, tablesIn, textIn } from '#lib/face/flatbuffer-reader.ts';
import { bytes, floats, ints, kept, table, tables, text, writeFlatBuffer } from '#lib/face/flatbuffer-writer.ts';

const viewOf = (data: Uint8Array): DataView => new DataView(data.buffer, data.byteOffset, data.byteLength);

describe('law', () => {
  it('reads back what it wrote', () => {
    fc.assert(
      fc.property(
        fc.string({ maxLength: 40 }),
        fc.array(fc.integer({ min: -(2 ** 31), max: 2 ** 31 - 1 }), { maxLength: 50 }),
        fc.uint8Array({ maxLength: 100 }),
        fc.integer({ min: 0, max: 255 }),
        fc.integer({ min: 0, max: 9 }),
        (label, numbers, data, byte, gap) => {
          const inner = (i: number) => table({ 0: text(`${label}${i}`), [gap + 1]: { int: i - 1 } });
          const root = table({ 0: { byte }, [gap + 1]: ints(numbers), [gap + 2]: bytes(data), [gap + 3]: tables([inner(0), inner(1)]) });
          const view = viewOf(writeFlatBuffer(root, 'TEST'));
          const at = rootTable(view);
          expect(view.getUint8(fieldAt(view, at, 0))).toBe(byte);
          for (let hole = 1; hole <= gap; hole++) expect(fieldAt(view, at, hole)).toBe(0);
          expect(fieldAt(view, at, 99)).toBe(0);
          expect(intsIn(view, referredBy(view, at, gap + 1))).toEqual(numbers);
          const block = referredBy(view, at, gap + 2);
          expect(new Uint8Array(view.buffer, view.byteOffset + block + 4, view.getUint32(block, true))).toEqual(data);
          tablesIn(view, referredBy(view, at, gap + 3)).forEach((item, i) => {
            expect(textIn(view, referredBy(view, item, 0))).toBe(`${label}${i}`);
            expect(view.getInt32(fieldAt(view, item, gap + 1), true)).toBe(i - 1);
          });
        },
      ),
      { numRuns: 100 },
    );
  });

  it('starts the data of every vector of numbers or bytes at a multiple of 16, and grows past its first block', () => {
    const root = table({ 0: text('odd'), 1: bytes(new Uint8Array(100_001)), 2: floats([1.5, -2]), 3: ints([7]) });
    const view = viewOf(writeFlatBuffer(root, 'TEST'));
    const at = rootTable(view);
    for (const field of [1, 2, 3]) expect((referredBy(view, at, field) + 4) % 16).toBe(0);
    expect(view.getFloat32(referredBy(view, at, 2) + 8, true)).toBe(-2);
    expect(view.byteLength % 16).toBe(0);
  });

  it('leaves the buffer behind it untouched, and refers into it by old positions', () => {
    const old = writeFlatBuffer(table({ 0: text('old words'), 1: ints([1, 2, 3]) }), 'OLDB');
    const oldView = viewOf(old);
    const position = referredBy(oldView, rootTable(oldView), 1);
    const whole = writeFlatBuffer(table({ 0: kept(position), 1: text('new') }), 'NEWB', old);
    const view = viewOf(whole);
    expect(intsIn(view, referredBy(view, rootTable(view), 0))).toEqual([1, 2, 3]);
    expect(whole.slice(whole.length - old.length)).toEqual(old);
    expect(textIn(view, follow(view, fieldAt(view, rootTable(view), 1)))).toBe('new');
    expect(new TextDecoder().decode(whole.subarray(4, 8))).toBe('NEWB');
  });
});

describe('refusal', () => {
  it('throws on an identifier that is not four letters, and on a field that is not there', () => {
    expect(() => writeFlatBuffer(table({}), 'LONGER')).toThrow(RangeError);
    const view = viewOf(writeFlatBuffer(table({}), 'TEST'));
    expect(() => referredBy(view, rootTable(view), 3)).toThrow('has no field 3');
  });
});
