/**
 * Number fields of a plate as bytes: little-endian Int16 in fixed steps, so that a page reads them without a parser.
 *
 * Steps   displacement 1 micrometre (reaches +-32.7 mm), lightness 0.01 L* (reaches +-327). -32768 means "not measured".
 * Zones and trust are one byte a pixel and need no coding.
 */
export const DISPLACEMENT_STEP_MM = 0.001;
export const LIGHTNESS_STEP = 0.01;
const NOT_MEASURED = -32768;
const LARGEST = 32767;

/** field -> 2 * field.length bytes. NaN becomes "not measured"; values beyond the range are held at its end. */
export function encodeField(field: Float32Array, step: number): Uint8Array {
  const bytes = new Uint8Array(2 * field.length);
  const view = new DataView(bytes.buffer);
  for (let i = 0; i < field.length; i++) {
    const value = field[i]!;
    const coded = Number.isNaN(value) ? NOT_MEASURED : Math.max(-LARGEST, Math.min(LARGEST, Math.round(value / step)));
    view.setInt16(2 * i, coded, true);
  }
  return bytes;
}

/** The reverse; NaN where not measured. Throws RangeError on an odd number of bytes. */
export function decodeField(bytes: Uint8Array, step: number): Float32Array {
  if (bytes.length % 2 !== 0) throw new RangeError(`a field has an even number of bytes, got ${bytes.length}`);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const field = new Float32Array(bytes.length / 2);
  for (let i = 0; i < field.length; i++) {
    const coded = view.getInt16(2 * i, true);
    field[i] = coded === NOT_MEASURED ? Number.NaN : coded * step;
  }
  return field;
}
