/** A plate as files: the pictures, the maps, the number fields, and what is needed to draw them. Names in shared/plates.ts. */
import { promisify } from 'node:util';
import { gzip } from 'node:zlib';
import { encodeImage } from '#lib/photo/encode.ts';
import { changeMapRgba, overPicture } from '#lib/report/change-map.ts';
import { fieldSpan } from '#lib/report/span.ts';
import { DISPLACEMENT_STEP_MM, encodeField, LIGHTNESS_STEP } from '#shared/plate-fields.ts';
import type { Plate, PlateInfo, PlatePart } from '#shared/plates.ts';

/** Least reach of the legends: below it, a map of nothing would show the noise in full colour. */
const LEAST_DISPLACEMENT_SPAN_MM = 1;
const LEAST_LIGHTNESS_SPAN = 5;
const PICTURE_QUALITY = 92;

export type PlateBytes = Readonly<{ info: PlateInfo; parts: Readonly<Partial<Record<PlatePart, Uint8Array>>> }>;

/** Same plate, same bytes. */
export async function plateBytes(plate: Plate): Promise<PlateBytes> {
  const { view, width, height, mmPerPx, zoneIndex, trust } = plate;
  const info: PlateInfo = {
    view,
    width,
    height,
    mmPerPx,
    zoneOutlines: roundedOutlines(plate.zoneOutlines),
    displacementSpanMm: fieldSpan(plate.displacementMm, LEAST_DISPLACEMENT_SPAN_MM),
    lightnessSpan: fieldSpan(plate.lightnessDelta, LEAST_LIGHTNESS_SPAN),
  };
  const jpeg = (data: Uint8Array): Promise<Uint8Array> =>
    encodeImage({ width, height, channels: 3, data }, 'jpeg', { quality: PICTURE_QUALITY });
  const png = (data: Uint8Array): Promise<Uint8Array> => encodeImage({ width, height, channels: 4, data }, 'png');
  const change = changeMapRgba({ width, height, field: plate.displacementMm, zoneIndex, trust }, info.displacementSpanMm);
  const lightness = changeMapRgba({ width, height, field: plate.lightnessDelta, zoneIndex, trust }, info.lightnessSpan);
  return {
    info,
    parts: {
      info: new TextEncoder().encode(JSON.stringify(info)),
      before: await jpeg(plate.before),
      afterAligned: await jpeg(plate.afterAligned),
      afterRelit: await jpeg(plate.afterRelit),
      changeMap: await png(change),
      lightnessMap: await png(lightness),
      changePicture: await jpeg(overPicture(plate.afterRelit, change)),
      lightnessPicture: await jpeg(overPicture(plate.afterRelit, lightness)),
      displacement: await packed(encodeField(plate.displacementMm, DISPLACEMENT_STEP_MM)),
      lightness: await packed(encodeField(plate.lightnessDelta, LIGHTNESS_STEP)),
      zones: await packed(new Uint8Array(zoneIndex.buffer, zoneIndex.byteOffset, zoneIndex.byteLength)),
      trust: await packed(trust),
    },
  };
}

/** The header that zlib writes holds no time, so equal bytes stay equal. A light level: the fields are smooth. */
const packed = async (bytes: Uint8Array): Promise<Uint8Array> => new Uint8Array(await promisify(gzip)(bytes, { level: 4 }));

/** A hundredth of a pixel is finer than any line drawn. */
function roundedOutlines(outlines: Plate['zoneOutlines']): PlateInfo['zoneOutlines'] {
  return Object.fromEntries(
    Object.entries(outlines).map(([zone, loops]) => [
      zone,
      loops.map((loop) => Array.from(loop, (value) => Math.round(value * 100) / 100)),
    ]),
  );
}
