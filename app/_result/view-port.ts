/**
 * Where a pane looks: shared by all panes of a comparison, so that they move in step whatever their pictures' sizes.
 * Pure arithmetic.
 *
 * Frame   x and y are parts of the picture (0 left or top, 1 right or bottom) at the middle of the pane; zoom 1 shows
 *         the whole picture. Pane coordinates are CSS px from the pane's top left corner.
 */
export type Port = Readonly<{ zoom: number; x: number; y: number }>;
export type Size = Readonly<{ width: number; height: number }>;

export const WHOLE: Port = { zoom: 1, x: 0.5, y: 0.5 };
export const MOST_ZOOM = 16;

/** Pane px per picture px. */
export function scaleOf(port: Port, pane: Size, picture: Size): number {
  return Math.min(pane.width / picture.width, pane.height / picture.height) * port.zoom;
}

/** The pane position of the picture's top left corner. */
export function cornerOf(port: Port, pane: Size, picture: Size): readonly [number, number] {
  const scale = scaleOf(port, pane, picture);
  return [pane.width / 2 - port.x * picture.width * scale, pane.height / 2 - port.y * picture.height * scale];
}

/** The picture px under a place in the pane; may lie outside the picture. */
export function pictureAt(port: Port, pane: Size, picture: Size, [px, py]: readonly [number, number]): readonly [number, number] {
  const scale = scaleOf(port, pane, picture);
  const [left, top] = cornerOf(port, pane, picture);
  return [(px - left) / scale, (py - top) / scale];
}

/** Zooms by `factor` and keeps the place at `at` (pane px) where it is, as far as the picture's edges allow. */
export function zoomedAt(port: Port, factor: number, pane: Size, picture: Size, at: readonly [number, number]): Port {
  const zoom = Math.max(1, Math.min(MOST_ZOOM, port.zoom * factor));
  const [fixedX, fixedY] = pictureAt(port, pane, picture, at);
  const scale = scaleOf({ ...port, zoom }, pane, picture);
  const x = (fixedX - (at[0] - pane.width / 2) / scale) / picture.width;
  const y = (fixedY - (at[1] - pane.height / 2) / scale) / picture.height;
  return held({ zoom, x, y }, pane, picture);
}

/** Moves the picture by pane px: positive `dx` moves it to the right. */
export function moved(port: Port, dx: number, dy: number, pane: Size, picture: Size): Port {
  const scale = scaleOf(port, pane, picture);
  return held({ zoom: port.zoom, x: port.x - dx / (scale * picture.width), y: port.y - dy / (scale * picture.height) }, pane, picture);
}

/** Shows a box of the picture (px) with a margin around it. */
export function framed(
  box: Readonly<{ left: number; top: number; right: number; bottom: number }>,
  pane: Size,
  picture: Size,
  margin = 0.5,
): Port {
  const width = Math.max(1, (box.right - box.left) * (1 + 2 * margin));
  const height = Math.max(1, (box.bottom - box.top) * (1 + 2 * margin));
  const fit = scaleOf(WHOLE, pane, picture);
  const zoom = Math.max(1, Math.min(MOST_ZOOM, Math.min(pane.width / width, pane.height / height) / fit));
  return held({ zoom, x: (box.left + box.right) / 2 / picture.width, y: (box.top + box.bottom) / 2 / picture.height }, pane, picture);
}

/** A side that fits into the pane stays in the middle; one that does not never leaves an empty edge. */
function held(port: Port, pane: Size, picture: Size): Port {
  const scale = scaleOf(port, pane, picture);
  const hold = (at: number, room: number, length: number) => {
    const half = room / (2 * scale * length);
    return half >= 0.5 ? 0.5 : Math.max(half, Math.min(1 - half, at));
  };
  return { zoom: port.zoom, x: hold(port.x, pane.width, picture.width), y: hold(port.y, pane.height, picture.height) };
}
