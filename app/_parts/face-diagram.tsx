/**
 * The zone atlas drawn on a plain face. Zones can be shown as chosen, and clicked; whoever uses the keyboard has the
 * same choice in the list beside it, so the drawing itself is hidden from assistive technology.
 */
import { FACE_DIAGRAM_MM } from '#shared/face-diagram.ts';
import { FACE_LINES } from '#shared/face-lines.ts';
import { placeOutline, ZONE_OUTLINES } from '#shared/zone-outlines.ts';
import { ZONE_IDS, type ZoneId, zoneLabel } from '#shared/zones.ts';
import css from './face-diagram.module.css';

const BOX = diagramBox();
const ZONE_PATHS = ZONE_IDS.map((zone) => ({ zone, path: pathOf(placeOutline(ZONE_OUTLINES[zone], FACE_DIAGRAM_MM, 2), true) }));
const LINE_PATHS = Object.entries(FACE_LINES).map(([name, indices]) => ({
  name,
  path: pathOf(
    indices.flatMap((i) => [FACE_DIAGRAM_MM[2 * i]!, FACE_DIAGRAM_MM[2 * i + 1]!]),
    false,
  ),
}));

type Props = { chosen: ReadonlySet<ZoneId>; onToggle?: (zone: ZoneId) => void };

export function FaceDiagram({ chosen, onToggle }: Props) {
  return (
    <svg className={css.face} viewBox={BOX} aria-hidden="true" focusable="false">
      {ZONE_PATHS.map(({ zone, path }) => (
        // biome-ignore lint/a11y/noStaticElementInteractions: the checkboxes beside the drawing do the same by keyboard
        <path
          key={zone}
          d={path}
          className={chosen.has(zone) ? css.chosen : css.zone}
          data-zone={zone}
          onClick={onToggle && (() => onToggle(zone))}
        >
          <title>{zoneLabel(zone)}</title>
        </path>
      ))}
      {LINE_PATHS.map(({ name, path }) => (
        <path key={name} d={path} className={css.line} />
      ))}
    </svg>
  );
}

/** Flat x, y pairs as an SVG path. */
export function pathOf(points: ArrayLike<number>, closed: boolean): string {
  let path = '';
  for (let i = 0; i + 1 < points.length; i += 2) path += `${i ? 'L' : 'M'}${points[i]!.toFixed(1)} ${points[i + 1]!.toFixed(1)}`;
  return closed ? `${path}Z` : path;
}

function diagramBox(): string {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < FACE_DIAGRAM_MM.length; i += 2) {
    left = Math.min(left, FACE_DIAGRAM_MM[i]!);
    right = Math.max(right, FACE_DIAGRAM_MM[i]!);
    top = Math.min(top, FACE_DIAGRAM_MM[i + 1]!);
    bottom = Math.max(bottom, FACE_DIAGRAM_MM[i + 1]!);
  }
  const margin = 4;
  return [left - margin, top - margin, right - left + 2 * margin, bottom - top + 2 * margin].map((n) => n.toFixed(1)).join(' ');
}
