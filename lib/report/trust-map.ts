/**
 * Where the light model was trusted, as a picture: an ochre veil over the zones, thick where a cell of skin was not explained by
 * the light (cast shadows, highlights, hair) and clear where it was fully. On the plate's grid; row-major.
 */
export const VEIL = [201, 138, 20] as const;
const THICKEST = 215;

/** RGBA, length 4 * width * height, alpha not premultiplied; clear outside the zones. Throws RangeError when the parts differ in size. */
export function trustMapRgba(zoneIndex: Int8Array, trust: Uint8Array): Uint8Array {
  if (zoneIndex.length !== trust.length) throw new RangeError(`trust has ${trust.length} pixels, zones ${zoneIndex.length}`);
  const rgba = new Uint8Array(4 * trust.length);
  for (let i = 0; i < trust.length; i++) {
    if (zoneIndex[i]! < 0) continue;
    rgba.set(VEIL, 4 * i);
    rgba[4 * i + 3] = Math.round(THICKEST * (1 - trust[i]! / 255));
  }
  return rgba;
}
