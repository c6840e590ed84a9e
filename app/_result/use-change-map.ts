'use client';
/** The chosen map, painted once on a canvas of the plate's grid and drawn from there at every zoom. */
import { useEffect, useState } from 'react';
import { changeMapRgba } from '#lib/report/change-map.ts';
import { trustMapRgba } from '#lib/report/trust-map.ts';
import type { PlateInfo } from '#shared/plates.ts';
import { fieldOf, isChange, type MapChoice } from './map-choice.ts';
import type { Fields } from './use-plate.ts';

export function useChangeMap(fields: Fields | null, info: PlateInfo | null, map: MapChoice, span: number): OffscreenCanvas | null {
  const [painted, setPainted] = useState<OffscreenCanvas | null>(null);
  useEffect(() => {
    setPainted(null);
    if (!fields || !info || map === 'none') return;
    const { width, height } = info;
    const frame = requestAnimationFrame(() => {
      const { zoneIndex, trust } = fields;
      const rgba = isChange(map)
        ? changeMapRgba({ width, height, field: fieldOf(fields, map), zoneIndex, trust }, span)
        : trustMapRgba(zoneIndex, trust);
      const canvas = new OffscreenCanvas(width, height);
      canvas.getContext('2d')!.putImageData(new ImageData(new Uint8ClampedArray(rgba.buffer as ArrayBuffer), width, height), 0, 0);
      setPainted(canvas);
    });
    return () => cancelAnimationFrame(frame);
  }, [fields, info, map, span]);
  return painted;
}
