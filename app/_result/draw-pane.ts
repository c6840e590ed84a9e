/** Draws one pane: the picture, the change map over it, zones outlined, hatching where nothing could be judged. */
import type { PlateInfo } from '#shared/plates.ts';
import type { ZoneId } from '#shared/zones.ts';
import { cornerOf, type Port, type Size, scaleOf } from './view-port.ts';

export type Scene = Readonly<{
  picture: ImageBitmap;
  port: Port;
  /** On the plate's grid; null when none is chosen. */
  map: CanvasImageSource | null;
  mapOpacity: number;
  info: PlateInfo | null;
  /** Outlined thinly. */
  outlined: readonly ZoneId[];
  /** Outlined firmly. */
  marked: ZoneId | null;
  hatched: readonly ZoneId[];
  /** Where the marked zone's evidence was read: x, y pairs in px of the plate. */
  line: readonly number[] | null;
  /** Device px per CSS px. */
  density: number;
}>;

const HATCH_STEP = 9;

/** `pane` in CSS px; the canvas is `density` times as large. */
export function drawPane(context: CanvasRenderingContext2D, pane: Size, scene: Scene): void {
  const { picture, port, density, info } = scene;
  const scale = scaleOf(port, pane, picture);
  const [left, top] = cornerOf(port, pane, picture);
  context.setTransform(density, 0, 0, density, 0, 0);
  context.clearRect(0, 0, pane.width, pane.height);
  context.imageSmoothingEnabled = scale * density < 4;
  context.imageSmoothingQuality = 'high';
  // Under a map the picture is drained of colour, so that the only colours are the scale's.
  const drained = scene.map !== null && scene.mapOpacity > 0;
  if (drained) context.filter = 'grayscale(1)';
  context.drawImage(picture, left, top, picture.width * scale, picture.height * scale);
  if (drained) context.filter = 'none';
  if (!info) return;

  if (scene.map) {
    context.globalAlpha = scene.mapOpacity;
    context.drawImage(scene.map, left, top, picture.width * scale, picture.height * scale);
    context.globalAlpha = 1;
  }
  const perPlate = (picture.width * scale) / info.width;
  const place = (loop: readonly number[], path: Path2D) => {
    for (let i = 0; i + 1 < loop.length; i += 2)
      path[i === 0 ? 'moveTo' : 'lineTo'](left + loop[i]! * perPlate, top + loop[i + 1]! * perPlate);
    path.closePath();
  };
  const pathOf = (zone: ZoneId): Path2D => {
    const path = new Path2D();
    for (const loop of info.zoneOutlines[zone] ?? []) place(loop, path);
    return path;
  };
  for (const zone of scene.hatched) hatch(context, pathOf(zone), pane);
  for (const zone of scene.outlined) if (zone !== scene.marked) outline(context, pathOf(zone), 1);
  if (scene.marked) outline(context, pathOf(scene.marked), 2.2);
  if (scene.line) {
    const path = new Path2D();
    for (let i = 0; i + 1 < scene.line.length; i += 2)
      path[i === 0 ? 'moveTo' : 'lineTo'](left + scene.line[i]! * perPlate, top + scene.line[i + 1]! * perPlate);
    context.setLineDash([5, 4]);
    outline(context, path, 1.6);
    context.setLineDash([]);
  }
}

/** White under black, so that the line is seen on every skin. */
function outline(context: CanvasRenderingContext2D, path: Path2D, width: number): void {
  context.lineJoin = 'round';
  context.lineWidth = 2.4 * width;
  context.strokeStyle = width > 1 ? 'rgb(255 255 255 / 0.95)' : 'rgb(255 255 255 / 0.45)';
  context.stroke(path);
  context.lineWidth = width;
  context.strokeStyle = width > 1 ? '#141216' : 'rgb(20 18 22 / 0.6)';
  context.stroke(path);
}

function hatch(context: CanvasRenderingContext2D, path: Path2D, pane: Size): void {
  context.save();
  context.clip(path);
  context.lineWidth = 1;
  context.strokeStyle = 'rgb(255 255 255 / 0.65)';
  context.beginPath();
  for (let x = -pane.height; x < pane.width; x += HATCH_STEP) {
    context.moveTo(x, pane.height);
    context.lineTo(x + pane.height, 0);
  }
  context.stroke();
  context.restore();
}
