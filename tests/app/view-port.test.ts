/** Zoom and movement of the panes. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cornerOf, framed, MOST_ZOOM, moved, type Port, pictureAt, type Size, scaleOf, WHOLE, zoomedAt } from '#app/_result/view-port.ts';

const size = (most: number) => fc.record({ width: fc.integer({ min: 50, max: most }), height: fc.integer({ min: 50, max: most }) });
const part = fc.double({ min: 0, max: 1, noNaN: true });
const step = fc.oneof(
  fc.record({ zoom: fc.double({ min: 0.2, max: 5, noNaN: true }), x: part, y: part }),
  fc.record({ dx: fc.integer({ min: -900, max: 900 }), dy: fc.integer({ min: -900, max: 900 }) }),
);

describe('law', () => {
  it('the whole picture is in the middle of the pane and fits it', () => {
    fc.assert(
      fc.property(size(2000), size(5000), (pane, picture) => {
        const scale = scaleOf(WHOLE, pane, picture);
        const [left, top] = cornerOf(WHOLE, pane, picture);
        expect(2 * left + scale * picture.width).toBeCloseTo(pane.width, 6);
        expect(2 * top + scale * picture.height).toBeCloseTo(pane.height, 6);
        expect(Math.min(left, top)).toBeCloseTo(0, 6);
      }),
    );
  });

  it('the place under the pointer stays under it while zooming, away from the edges', () => {
    const pane = { width: 400, height: 500 };
    const picture = { width: 900, height: 1100 };
    const start: Port = { zoom: 4, x: 0.5, y: 0.5 };
    fc.assert(
      fc.property(
        fc.double({ min: 0.8, max: 3, noNaN: true }),
        fc.double({ min: 150, max: 250, noNaN: true }),
        fc.double({ min: 200, max: 300, noNaN: true }),
        (factor, px, py) => {
          const [x0, y0] = pictureAt(start, pane, picture, [px, py]);
          const [x1, y1] = pictureAt(zoomedAt(start, factor, pane, picture, [px, py]), pane, picture, [px, py]);
          expect(Math.hypot(x1 - x0, y1 - y0)).toBeLessThan(1e-6);
        },
      ),
    );
  });

  it('no way of zooming and moving leaves an empty edge or passes the limits', () => {
    fc.assert(
      fc.property(size(1500), size(4000), fc.array(step, { maxLength: 20 }), (pane, picture, steps) => {
        let port = WHOLE;
        for (const one of steps)
          port =
            'zoom' in one
              ? zoomedAt(port, one.zoom, pane, picture, [one.x * pane.width, one.y * pane.height])
              : moved(port, one.dx, one.dy, pane, picture);
        expect(port.zoom).toBeGreaterThanOrEqual(1);
        expect(port.zoom).toBeLessThanOrEqual(MOST_ZOOM);
        expectNoEmptyEdge(port, pane, picture);
      }),
      { numRuns: 300 },
    );
  });

  it('moving there and back comes back, where no edge was met', () => {
    const pane = { width: 400, height: 500 };
    const picture = { width: 900, height: 1100 };
    const start: Port = { zoom: 6, x: 0.5, y: 0.5 };
    const back = moved(moved(start, 37, -21, pane, picture), -37, 21, pane, picture);
    expect(back.x).toBeCloseTo(start.x, 12);
    expect(back.y).toBeCloseTo(start.y, 12);
  });

  it('a framed box lies within the pane', () => {
    const pane = { width: 300, height: 400 };
    const picture = { width: 900, height: 1100 };
    const box = { left: 500, top: 600, right: 640, bottom: 700 };
    const port = framed(box, pane, picture);
    const [left, top] = pictureAt(port, pane, picture, [0, 0]);
    const [right, bottom] = pictureAt(port, pane, picture, [pane.width, pane.height]);
    expect([left <= box.left, top <= box.top, right >= box.right, bottom >= box.bottom]).toEqual([true, true, true, true]);
    expect(port.zoom).toBeGreaterThan(2);
  });
});

function expectNoEmptyEdge(port: Port, pane: Size, picture: Size): void {
  const scale = scaleOf(port, pane, picture);
  const [left, top] = cornerOf(port, pane, picture);
  for (const [corner, length, room] of [
    [left, scale * picture.width, pane.width],
    [top, scale * picture.height, pane.height],
  ] as const) {
    if (length <= room + 1e-6) expect(corner).toBeCloseTo((room - length) / 2, 4);
    else {
      expect(corner).toBeLessThan(1e-4);
      expect(corner + length).toBeGreaterThan(room - 1e-4);
    }
  }
}
