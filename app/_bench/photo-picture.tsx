'use client';
/**
 * The picture on a card. First the file itself, at once; after the check the server's upright picture, cropped to the
 * face, with the outlines the landmark engine found drawn over it lightly.
 */
import { useState } from 'react';
import { pathOf } from '#app/_parts/face-diagram.tsx';
import { FACE_LINES, IRIS_LINES } from '#shared/face-lines.ts';
import type { PhotoCheck } from '#shared/photo-check.ts';
import css from './bench.module.css';

const LINES = Object.entries({ ...FACE_LINES, ...IRIS_LINES });
/** Around the landmarks, in parts of the face's height. */
const MARGIN = 0.28;

type Props = { name: string; localUrl: string | null; sha256: string | null; check: PhotoCheck | null; refused: boolean };

export function PhotoPicture({ name, localUrl, sha256, check, refused }: Props) {
  const [unreadable, setUnreadable] = useState(false);
  if (check && sha256) return <CheckedPicture check={check} sha256={sha256} name={name} />;
  if (localUrl && !unreadable)
    // biome-ignore lint/performance/noImgElement: clinical pictures bypass the image optimiser and its cache
    return <img className={css.picture} src={localUrl} alt={`${name}, as chosen`} onError={() => setUnreadable(true)} />;
  return (
    <div className={`${css.picture} ${css.noPicture}`}>
      <span>{refused ? 'No picture' : 'The picture follows after the check.'}</span>
    </div>
  );
}

function CheckedPicture({ check, sha256, name }: { check: PhotoCheck; sha256: string; name: string }) {
  const box = faceBox(check);
  return (
    <svg
      className={css.picture}
      viewBox={`${box.x} ${box.y} ${box.width} ${box.height}`}
      role="img"
      aria-label={`${name}, with the outlines that were found`}
      preserveAspectRatio="xMidYMid slice"
    >
      <image
        href={`/api/photos/${sha256}/preview`}
        x="0"
        y="0"
        width={check.uprightPx.width}
        height={check.uprightPx.height}
        preserveAspectRatio="none"
      />
      <g className={css.found}>
        {LINES.map(([line, indices]) => (
          <path key={line} d={pathOf(pointsOf(check.landmarksPx, indices), false)} vectorEffect="non-scaling-stroke" />
        ))}
      </g>
    </svg>
  );
}

function pointsOf(landmarksPx: readonly number[], indices: readonly number[]): number[] {
  return indices.flatMap((i) => (2 * i + 1 < landmarksPx.length ? [landmarksPx[2 * i]!, landmarksPx[2 * i + 1]!] : []));
}

/** The landmarks with a margin, inside the photograph; px of the upright original. */
function faceBox({ landmarksPx, uprightPx }: PhotoCheck): { x: number; y: number; width: number; height: number } {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i + 1 < landmarksPx.length; i += 2) {
    left = Math.min(left, landmarksPx[i]!);
    right = Math.max(right, landmarksPx[i]!);
    top = Math.min(top, landmarksPx[i + 1]!);
    bottom = Math.max(bottom, landmarksPx[i + 1]!);
  }
  if (left > right) return { x: 0, y: 0, ...uprightPx };
  const margin = MARGIN * (bottom - top);
  const x = Math.max(0, left - margin);
  const y = Math.max(0, top - margin);
  return { x, y, width: Math.min(uprightPx.width, right + margin) - x, height: Math.min(uprightPx.height, bottom + margin) - y };
}
