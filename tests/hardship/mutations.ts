/** What becomes of a good request or a good picture in bad hands, for fast-check. */
import fc from 'fast-check';

const odd = fc.oneof(
  fc.constantFrom<unknown>(
    null,
    true,
    0,
    -1,
    1e308,
    0.5,
    '',
    '0',
    [],
    {},
    'a'.repeat(5_000),
    '\u0000',
    '\ud800',
    '../../record.sqlite',
    '2026-02-30',
    'f'.repeat(32),
    'f'.repeat(64),
  ),
  fc.jsonValue({ maxDepth: 3 }),
  fc.constant(Array.from({ length: 2_000 }, (_, i) => i)),
  fc.constant(nested(2_000)),
);

/** A body as text: one member exchanged, taken out or added; or the text itself cut or overwritten. */
export const badBody = (good: unknown): fc.Arbitrary<string> =>
  fc.oneof(
    {
      weight: 6,
      arbitrary: fc
        .tuple(fc.array(fc.nat(), { minLength: 1, maxLength: 5 }), odd)
        .map(([way, value]) => JSON.stringify(exchanged(good, way, value))),
    },
    {
      weight: 2,
      arbitrary: fc.array(fc.nat(), { minLength: 1, maxLength: 5 }).map((way) => JSON.stringify(exchanged(good, way, undefined)) ?? ''),
    },
    { weight: 1, arbitrary: fc.tuple(fc.nat(), fc.string()).map(([at, more]) => spoilt(JSON.stringify(good), at, more)) },
    { weight: 1, arbitrary: odd.map((value) => JSON.stringify(value)) },
  );

/** Follows `way` into the value, wrapping around at each level, and puts `value` at its end; the value itself is left as it is. */
function exchanged(whole: unknown, [step, ...way]: readonly number[], value: unknown): unknown {
  if (step === undefined || whole === null || typeof whole !== 'object') return value;
  if (Array.isArray(whole)) {
    const at = step % (whole.length + 1);
    return whole.toSpliced(at, 1, exchanged(whole[at], way, value));
  }
  const keys = [...Object.keys(whole), '__proto__more'];
  const key = keys[step % keys.length]!;
  return { ...whole, [key]: exchanged((whole as Record<string, unknown>)[key], way, value) };
}

const spoilt = (text: string, at: number, more: string): string => text.slice(0, at % (text.length + 1)) + more;

function nested(depth: number): unknown {
  let value: unknown = 0;
  for (let i = 0; i < depth; i++) value = [value];
  return value;
}

/** Evenly over the whole: fast-check's own preference for the ends would spoil nothing but the first bytes. */
const place = fc.noBias(fc.integer({ min: 0, max: 999_999 })).map((millionth) => millionth / 1e6);
/** A file whose first bytes are wrong is refused at once, so that most are spoilt behind them. */
const MAGIC_BYTES = 12;

/** Bytes overwritten, often in front where the structure is; a stretch repeated, taken out or blanked; the end cut off. */
export const badPicture = (goods: readonly Uint8Array[]): fc.Arbitrary<Uint8Array> =>
  fc
    .record({
      good: fc.constantFrom(...goods),
      writes: fc.array(
        fc.record({
          at: place,
          value: fc.integer({ min: 0, max: 255 }),
          front: fc.boolean(),
          magic: fc.noBias(fc.integer({ min: 0, max: 29 })),
        }),
        {
          maxLength: 6,
        },
      ),
      stretch: fc.option(fc.tuple(place, fc.integer({ min: 1, max: 300 }), fc.constantFrom('repeat', 'remove', 'blank'))),
      keep: fc.oneof({ weight: 5, arbitrary: fc.constant(1) }, { weight: 1, arbitrary: place }),
    })
    .map(({ good, writes, stretch, keep }) => {
      let bytes = Buffer.from(good);
      if (stretch) {
        const [where, length, what] = stretch;
        const from = MAGIC_BYTES + Math.floor(where * bytes.length);
        const piece = bytes.subarray(from, from + length);
        if (what === 'blank') piece.fill(0);
        else bytes = Buffer.concat([bytes.subarray(0, from), ...(what === 'repeat' ? [piece, piece] : []), bytes.subarray(from + length)]);
      }
      bytes = bytes.subarray(0, Math.max(1, Math.floor(bytes.length * keep)));
      for (const { at, value, front, magic } of writes) {
        const from = magic === 0 ? 0 : MAGIC_BYTES;
        const span = Math.min(bytes.length, front ? 700 : bytes.length) - from;
        if (span > 0) bytes[from + Math.floor(at * span)] = value;
      }
      return Uint8Array.from(bytes);
    });
