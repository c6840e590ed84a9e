/**
 * Folds and grooves of the face, pressed into the fine surface.
 *
 * Frame   head, mm. Lines were read off the canonical mesh.
 */
import { vertexNormals } from '#lib/geometry/mesh.ts';
import { type Crease, nearLine, smoothstep } from './fields.ts';
import type { HeadGrid } from './head-grid.ts';
import type { ShapeSpec } from './types.ts';

/** Folds as lines over the average head, subject's right. */
const FOLDS: readonly Readonly<{ key: 'tearTroughMm' | 'nasolabialMm' | 'marionetteMm' | number; crease: Crease }>[] = [
  {
    key: 'tearTroughMm',
    crease: {
      line: [
        [-15, 17.5, 43],
        [-21, 12, 41.5],
        [-29, 8.5, 41],
        [-38, 8, 38],
      ],
      sigma: 2.6,
    },
  },
  {
    key: 'nasolabialMm',
    crease: {
      line: [
        [-19, -9, 48.5],
        [-24, -17, 46],
        [-30, -25, 44],
        [-34, -34, 41],
        [-35.5, -41, 38.5],
      ],
      sigma: 2.4,
    },
  },
  {
    key: 'marionetteMm',
    crease: {
      line: [
        [-28, -46, 41],
        [-31, -54, 39],
        [-33, -62, 38],
      ],
      sigma: 2.4,
    },
  },
  // the same on every face, mm: alar groove, fold of the upper lid, hollow of the philtrum, fold above the chin
  {
    key: 1.1,
    crease: {
      line: [
        [-12.5, -2, 61.5],
        [-16, -5.5, 56],
        [-17.5, -10, 51.5],
        [-16, -14.5, 51],
      ],
      sigma: 1.5,
    },
  },
  {
    key: 1.2,
    crease: {
      line: [
        [-20, 28.5, 39.5],
        [-25, 32.6, 39.6],
        [-31, 33.9, 40.2],
        [-38, 33, 38.5],
        [-45, 29.5, 33],
      ],
      sigma: 0.95,
    },
  },
  {
    key: 0.7,
    crease: {
      line: [
        [-0.1, -22, 60.5],
        [-0.1, -27, 59.5],
        [-0.1, -33, 60],
      ],
      sigma: 2.2,
    },
  },
  {
    key: 0.9,
    crease: {
      line: [
        [-0.1, -62.5, 51],
        [-8, -62, 50],
        [-15, -60, 47.5],
      ],
      sigma: 3.2,
    },
  },
];

/** Presses the folds into the fine surface, along its normals; a soft ridge stands beside each. Writes to `fine` (n, 3). */
export function pressFolds(fine: Float64Array, grid: HeadGrid, shape: ShapeSpec): void {
  const normals = vertexNormals({ vertices: fine, triangles: grid.triangles });
  const { material } = grid;
  for (const { key, crease } of FOLDS)
    for (let i = 0; i < fine.length; i += 3) {
      const [x, y, z] = [-Math.abs(material[i]), material[i + 1], material[i + 2]];
      if (z < 20 || y > 38 || y < -72) continue;
      const { distance, along } = nearLine(crease.line, x, y, z);
      if (distance > 6 * crease.sigma) continue;
      const fade = typeof key === 'number' ? 1 : smoothstep(0, 0.15, along) * smoothstep(1, 0.7, along);
      const q = (distance / crease.sigma) ** 2 / 2;
      const depth = (typeof key === 'number' ? key : shape[key]) * fade * (-Math.exp(-q) + 0.35 * Math.exp(-q / 6));
      for (let k = 0; k < 3; k++) fine[i + k] += depth * normals[i + k];
    }
}
