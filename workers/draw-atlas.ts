/**
 * Draws the zone atlas on the canonical mesh, seen from the front, to docs/zones.svg and docs/zones.png.
 * Run: `node workers/draw-atlas.ts [folder]`.
 */
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { canonicalMesh } from '#lib/face/canonical-mesh.ts';
import { zoneLoop } from '#lib/face/zone-map.ts';
import { ZONE_IDS, type ZoneId, zoneLabel } from '#shared/zones.ts';

const PX_PER_MM = 5;
const [WIDTH, HEIGHT] = [1240, 1010];
const [CENTRE_X, TOP_Y_MM] = [620, 94];
const INK = '#2b3440';
/** One hue per kind of zone, alternating so that neighbours differ. */
const FILL: Record<string, string> = {
  forehead: '#b9c8d8',
  glabella: '#d9c7a8',
  temple: '#c9d3b4',
  infraorbital: '#b7a9cf',
  midface: '#e3b39b',
  submalar: '#9fc3b8',
  'nasal-dorsum': '#a9bfd6',
  'nasal-tip': '#cfd9a9',
  nasolabial: '#93aacb',
  'upper-lip': '#e6cf9f',
  philtrum: '#c4b1a2',
  'vermilion-upper': '#cf8f92',
  'vermilion-lower': '#c27d86',
  commissure: '#a3b98c',
  marionette: '#d6a9bd',
  prejowl: '#a6cfd6',
  chin: '#d8c6dc',
  jawline: '#d3bd8b',
};

const x = (mm: number): string => (CENTRE_X + mm * PX_PER_MM).toFixed(1);
const y = (mm: number): string => ((TOP_Y_MM - mm) * PX_PER_MM).toFixed(1);
const stem = (zone: ZoneId): string => zone.replace(/-(left|right)$/, '');

function loopPath(zone: ZoneId): string {
  const loop = zoneLoop(zone);
  let d = '';
  for (let i = 0; i < loop.length; i += 3) d += `${i ? 'L' : 'M'}${x(loop[i])} ${y(loop[i + 1])}`;
  return `${d}Z`;
}

function meshPath(): string {
  const { vertices, triangles } = canonicalMesh();
  let d = '';
  for (let k = 0; k < triangles.length; k++)
    d += `${k % 3 ? 'L' : 'M'}${x(vertices[3 * triangles[k]])} ${y(vertices[3 * triangles[k] + 1])}${k % 3 === 2 ? 'Z' : ''}`;
  return d;
}

/** Labels stand beside the face with a thin line to the zone's middle: right zones on the left of the picture. */
function labels(): string {
  const placed = ZONE_IDS.map((zone) => {
    const loop = zoneLoop(zone);
    const mean = (k: number): number => loop.filter((_, i) => i % 3 === k).reduce((sum, value) => sum + value, 0) / (loop.length / 3);
    return {
      zone,
      atX: mean(0),
      atY: mean(1),
      onLeft: zone.endsWith('-right') || ['forehead', 'nasal-dorsum', 'philtrum', 'vermilion-lower'].includes(zone),
    };
  });
  return [true, false]
    .map((onLeft) =>
      column(
        placed.filter((label) => label.onLeft === onLeft),
        onLeft,
      ),
    )
    .join('');
}

function column(side: readonly { zone: ZoneId; atX: number; atY: number }[], onLeft: boolean): string {
  const sorted = side.toSorted((one, other) => other.atY - one.atY);
  const step = (HEIGHT - 70) / sorted.length;
  return sorted
    .map(({ zone, atX, atY }, i) => {
      const [endX, lineX, endY] = [onLeft ? 150 : WIDTH - 150, onLeft ? 156 : WIDTH - 156, 45 + step * (i + 0.5)];
      return (
        `<path d="M${lineX} ${endY.toFixed(1)}L${x(atX)} ${y(atY)}" stroke="${INK}" stroke-opacity=".45" stroke-width=".9" fill="none"/>` +
        `<circle cx="${x(atX)}" cy="${y(atY)}" r="2.6" fill="${INK}"/>` +
        `<text x="${endX}" y="${(endY + 5).toFixed(1)}" text-anchor="${onLeft ? 'end' : 'start'}">${zoneLabel(zone)}</text>`
      );
    })
    .join('\n');
}

const svg = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" width="${WIDTH}" height="${HEIGHT}" font-family="DejaVu Sans, Arial, sans-serif" font-size="14.5" fill="${INK}">
<rect width="${WIDTH}" height="${HEIGHT}" fill="#fdfcfa"/>
<path d="${meshPath()}" fill="#f3ece4" stroke="#d8cfc6" stroke-width=".7"/>
${ZONE_IDS.map((zone) => `<path d="${loopPath(zone)}" fill="${FILL[stem(zone)]}" fill-opacity=".78" stroke="${INK}" stroke-width="1.1" stroke-linejoin="round"/>`).join('\n')}
${labels()}
</svg>
`;

const folder = process.argv[2] ?? 'docs';
await mkdir(folder, { recursive: true });
await writeFile(join(folder, 'zones.svg'), svg);
await sharp(Buffer.from(svg), { density: 96 }).png({ palette: true, colours: 128 }).toFile(join(folder, 'zones.png'));
console.log(`wrote zones.svg and zones.png to ${folder}`);
