'use client';
/** Numbered marks over a photograph. Places are fractions of its width and height, from the top left. */
import { useEffect, useState } from 'react';
import css from './complaint.module.css';

export type Mark = Readonly<{ x: number; y: number }>;

/** Inside an SVG whose frame is the picture's. */
export function Marks({ marks, width, height }: { marks: readonly Mark[]; width: number; height: number }) {
  const r = width / 34;
  return marks.map(({ x, y }, i) => (
    // biome-ignore lint/suspicious/noArrayIndexKey: a mark is its place in the list
    <g key={i}>
      <circle cx={x * width} cy={y * height} r={r} className={css.mark} strokeWidth={r / 5} />
      <text x={x * width} y={y * height + 0.36 * r} fontSize={1.1 * r} textAnchor="middle" className={css.markNumber}>
        {i + 1}
      </text>
    </g>
  ));
}

/** A small picture with its marks, to be read; nothing where the picture is not ready. */
export function MarkedPicture({ address, label, marks }: { address: string; label: string; marks: readonly Mark[] }) {
  const size = usePictureSize(address);
  if (size === null || size === 'none') return null;
  return (
    <svg viewBox={`0 0 ${size.width} ${size.height}`} role="img" aria-label={label}>
      <image href={address} width={size.width} height={size.height} />
      <Marks marks={marks} width={size.width} height={size.height} />
    </svg>
  );
}

/** Null while it loads. */
export function usePictureSize(address: string): { width: number; height: number } | 'none' | null {
  const [size, setSize] = useState<{ width: number; height: number } | 'none' | null>(null);
  useEffect(() => {
    const picture = new Image();
    picture.onload = () => setSize({ width: picture.naturalWidth, height: picture.naturalHeight });
    picture.onerror = () => setSize('none');
    picture.src = address;
    return () => {
      picture.onload = null;
      picture.onerror = null;
    };
  }, [address]);
  return size;
}
