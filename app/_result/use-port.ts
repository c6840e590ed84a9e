'use client';
/**
 * Where the panes look. At first at the face, not at the whole plate; files as taken differ in frame from plate to plate,
 * so they start whole. A change between the two starts anew.
 */
import { type RefObject, useCallback, useEffect, useRef, useState } from 'react';
import type { OutlineLoops, PlateInfo } from '#shared/plates.ts';
import type { Look } from './use-plate.ts';
import { framed, moved, type Port, type Size, WHOLE, zoomedAt } from './view-port.ts';
import { boxOf } from './zone-reader.ts';

/** Around the zones, in parts of their box. */
const FACE_MARGIN = 0.07;

export type PortHands = Readonly<{
  port: Port;
  /** Nearer than at first: one finger moves the picture instead of the page. */
  near: boolean;
  zoomAt: (factor: number, at: readonly [number, number], pane: Size) => void;
  zoomMiddle: (factor: number) => void;
  move: (dx: number, dy: number, pane?: Size) => void;
  whole: () => void;
  frame: (loops: OutlineLoops) => void;
}>;

export function usePort(stage: RefObject<HTMLElement | null>, picture: Size | null, info: PlateInfo | null, look: Look): PortHands {
  const [port, setPort] = useState<Port>(WHOLE);
  const [home, setHome] = useState<Port>(WHOLE);
  const wanted = useRef<OutlineLoops | null>(null);
  const paneSize = useCallback(
    (): Size => stage.current?.querySelector('canvas')?.getBoundingClientRect() ?? { width: 1, height: 1 },
    [stage],
  );

  const grid = look === 'taken' ? null : info;
  useEffect(() => {
    const first = grid ? framed(boxOf(Object.values(grid.zoneOutlines).flat()), paneSize(), grid, FACE_MARGIN) : WHOLE;
    setHome(first);
    setPort(wanted.current && grid ? framed(boxOf(wanted.current), paneSize(), grid) : first);
    wanted.current = null;
  }, [grid, paneSize]);

  const change = useCallback(
    (how: (port: Port, pane: Size, picture: Size) => Port, pane: Size) => picture && setPort((was) => how(was, pane, picture)),
    [picture],
  );
  const zoomAt = useCallback<PortHands['zoomAt']>(
    (factor, at, pane) => change((was, p, size) => zoomedAt(was, factor, p, size, at), pane),
    [change],
  );
  const move = useCallback<PortHands['move']>(
    (dx, dy, pane) => change((was, p, size) => moved(was, dx, dy, p, size), pane ?? paneSize()),
    [change, paneSize],
  );

  return {
    port,
    near: port.zoom > home.zoom * 1.01,
    zoomAt,
    move,
    zoomMiddle: (factor) => {
      const pane = paneSize();
      zoomAt(factor, [pane.width / 2, pane.height / 2], pane);
    },
    whole: () => setPort(WHOLE),
    frame: (loops) => {
      if (grid) setPort(framed(boxOf(loops), paneSize(), grid));
      else wanted.current = loops;
    },
  };
}
