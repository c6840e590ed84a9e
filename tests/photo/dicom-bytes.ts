/**
 * DICOM files put together byte by byte for the tests of reading them, independently of any library.
 * Source  DICOM PS3.5 section 7, annex A.4; PS3.10 section 7.1.
 */

export type Syntax = keyof typeof SYNTAXES;
export const SYNTAXES = {
  implicit: '1.2.840.10008.1.2',
  explicit: '1.2.840.10008.1.2.1',
  jpeg: '1.2.840.10008.1.2.4.50',
  jpeg2000: '1.2.840.10008.1.2.4.90',
  bigEndian: '1.2.840.10008.1.2.2',
} as const;

/** [group, element, type, value]; a number becomes an unsigned short, a list of elements a sequence of one item. */
export type Element = readonly [number, number, string, string | number | Uint8Array | readonly Element[]];

const LONG = new Set(['OB', 'OW', 'SQ', 'UN']);
const short = (n: number): Buffer => Buffer.from([n & 255, n >> 8]);
const long = (n: number): Buffer => {
  const bytes = Buffer.alloc(4);
  bytes.writeUInt32LE(n);
  return bytes;
};
const tag = (group: number, element: number): Buffer => Buffer.concat([short(group), short(element)]);

function element([group, number, type, value]: Element, implicit: boolean): Buffer {
  if (typeof value === 'object' && !(value instanceof Uint8Array)) {
    // Without lengths, which is the harder way to read.
    const item = Buffer.concat([
      tag(0xfffe, 0xe000),
      long(0xffffffff),
      ...value.map((one) => element(one, implicit)),
      tag(0xfffe, 0xe00d),
      long(0),
    ]);
    const head = implicit ? tag(group, number) : Buffer.concat([tag(group, number), Buffer.from('SQ'), short(0)]);
    return Buffer.concat([head, long(0xffffffff), item, tag(0xfffe, 0xe0dd), long(0)]);
  }
  const raw = typeof value === 'number' ? short(value) : Buffer.from(value as Uint8Array);
  const even = raw.length % 2 === 0 ? raw : Buffer.concat([raw, Buffer.from(type === 'UI' || type === 'OB' ? [0] : ' ')]);
  if (implicit) return Buffer.concat([tag(group, number), long(even.length), even]);
  const length = LONG.has(type) ? Buffer.concat([short(0), long(even.length)]) : short(even.length);
  return Buffer.concat([tag(group, number), Buffer.from(type), length, even]);
}

/** The pixel data in fragments, behind an empty table of offsets. */
export function encapsulated(fragments: readonly Uint8Array[]): Buffer {
  const item = (bytes: Uint8Array): Buffer => {
    const even = bytes.length % 2 === 0 ? bytes : Buffer.concat([bytes, Buffer.from([0])]);
    return Buffer.concat([tag(0xfffe, 0xe000), long(even.length), even]);
  };
  return Buffer.concat([
    tag(0x7fe0, 0x0010),
    Buffer.from('OB'),
    short(0),
    long(0xffffffff),
    item(new Uint8Array(0)),
    ...fragments.map(item),
    tag(0xfffe, 0xe0dd),
    long(0),
  ]);
}

/** A whole file; `pixels` is appended as it is, or left out. */
export function dicomBytes(syntax: Syntax, elements: readonly Element[], pixels: Uint8Array = new Uint8Array(0)): Uint8Array {
  const meta = element([2, 0x0010, 'UI', SYNTAXES[syntax]], false);
  const head = Buffer.concat([Buffer.alloc(128), Buffer.from('DICM'), element([2, 0, 'UL', long(meta.length)], false), meta]);
  return new Uint8Array(Buffer.concat([head, ...elements.map((one) => element(one, syntax === 'implicit')), pixels]));
}

export const PHOTOGRAPH = '1.2.840.10008.5.1.4.1.1.77.1.4';
export const SECONDARY_CAPTURE = '1.2.840.10008.5.1.4.1.1.7';

/** What describes a picture, in the order of the tags. */
export function pictureElements(
  size: Readonly<{ width: number; height: number }>,
  changed: Readonly<{ sopClass?: string; photometric?: string; samples?: number; planar?: number; bits?: number; frames?: string }> = {},
): Element[] {
  const { sopClass = PHOTOGRAPH, photometric = 'RGB', samples = 3, planar = 0, bits = 8, frames } = changed;
  return [
    [0x0008, 0x0016, 'UI', sopClass],
    [0x0008, 0x0022, 'DA', '20260901'],
    [0x0008, 0x0032, 'TM', '103015.250'],
    [0x0008, 0x0060, 'CS', 'XC'],
    [
      0x0008,
      0x2218,
      'SQ',
      [
        [0x0008, 0x0100, 'SH', '89545001'],
        [0x0008, 0x0121, 'SQ', [[0x0008, 0x0100, 'SH', 'inner']]],
      ],
    ],
    [0x0010, 0x0010, 'PN', 'Secret^Name'],
    [0x0020, 0x0062, 'CS', 'L'],
    [0x0028, 0x0002, 'US', samples],
    [0x0028, 0x0004, 'CS', photometric],
    [0x0028, 0x0006, 'US', planar],
    ...(frames ? ([[0x0028, 0x0008, 'IS', frames]] as Element[]) : []),
    [0x0028, 0x0010, 'US', size.height],
    [0x0028, 0x0011, 'US', size.width],
    [0x0028, 0x0100, 'US', bits],
    [0x0028, 0x0101, 'US', bits],
    [0x0028, 0x0102, 'US', bits - 1],
    [0x0028, 0x0103, 'US', 0],
  ];
}
