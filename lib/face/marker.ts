/**
 * A printed square marker as a ruler: finds it and tells its side in px.
 *
 * Marker  ArUco, dictionary 4x4_50, black on white with a white margin, any number; exactly one in the picture. It must be held
 *         flat to the camera in the plane of the cheeks: a marker 2 cm nearer than the cheeks reads 2 % too large at 1 m.
 * Model   Corners to a fraction of a px by OpenCV. A marker that is tilted shows one pair of sides shortened, so the longer
 *         pair counts; when the pairs differ by more than a tenth it was not held flat and is refused.
 * Source  Garrido-Jurado et al., Pattern Recognition 47:2280-2292, 2014, doi:10.1016/j.patcog.2014.01.005; OpenCV 5 as WebAssembly
 *         (@techstark/opencv-js, Apache-2.0), loaded only when a marker is asked for, as that takes about half a second.
 */

import type { Srgb8Raster } from '#lib/photo/types.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { openCv } from './opencv.ts';

export type MarkerSide = Readonly<{
  sidePx: number;
  /** Relative standard uncertainty of the side, tilt included. */
  relU: number;
}>;

/** Longer over shorter pair of sides at which a marker counts as tilted. */
const MOST_TILT = 1.1;
/** A corner is found to this, px; OpenCV's own figure for refined corners is a tenth, print and paper add to it. */
const CORNER_U_PX = 0.2;
/** Smaller markers are found, but a side of 20 px cannot give one per cent. */
const SMALLEST_SIDE_PX = 20;

const ADVICE =
  'Print a black 4x4 marker on white paper with a white margin, hold it flat to the camera beside the cheek, and photograph again, or use the iris as scale.';

export async function findMarker(picture: Srgb8Raster): Promise<Outcome<MarkerSide, 'marker-not-found'>> {
  const corners = await detect(picture);
  if (corners.length === 0) return refused('marker-not-found', `No marker was found in the photograph. ${ADVICE}`);
  if (corners.length > 1)
    return refused(
      'marker-not-found',
      `${corners.length} markers were found in the photograph, and which one is the scale cannot be told. Show exactly one.`,
    );
  const [ax, ay, bx, by, cx, cy, dx, dy] = corners[0];
  const across = (Math.hypot(bx - ax, by - ay) + Math.hypot(cx - dx, cy - dy)) / 2;
  const down = (Math.hypot(cx - bx, cy - by) + Math.hypot(dx - ax, dy - ay)) / 2;
  const sidePx = Math.max(across, down);
  const tilt = sidePx / Math.min(across, down);
  if (sidePx < SMALLEST_SIDE_PX)
    return refused(
      'marker-not-found',
      `The marker is only ${sidePx.toFixed(0)} px wide; at least ${SMALLEST_SIDE_PX} are needed. Use a larger marker or a photograph with more pixels.`,
    );
  if (tilt > MOST_TILT)
    return refused(
      'marker-not-found',
      `The marker was found but tilted: its sides differ by ${((tilt - 1) * 100).toFixed(0)} %. ${ADVICE}`,
    );
  // Each side has two corners; what is left of the tilt about the other axis is of the size of the tilt that shows.
  return found({ sidePx, relU: Math.hypot(CORNER_U_PX / sidePx, (tilt - 1) / 2) });
}

/** `CORNER_REFINE_SUBPIX` of OpenCV. */
const REFINE_TO_SUBPIXEL = 1;

/** Corners of each marker found: x, y of the four, clockwise, px with the first pixel's centre at (0.5, 0.5). */
async function detect(picture: Srgb8Raster): Promise<number[][]> {
  const cv = await openCv();
  const grey = new cv.Mat(picture.height, picture.width, cv.CV_8UC1);
  const dictionary = cv.getPredefinedDictionary(cv.DICT_4X4_50);
  const parameters = new cv.aruco_DetectorParameters();
  parameters.cornerRefinementMethod = REFINE_TO_SUBPIXEL;
  const refine = new cv.aruco_RefineParameters(10, 3, true);
  const detector = new cv.aruco_ArucoDetector(dictionary, parameters, refine);
  const [corners, rejected, ids] = [new cv.MatVector(), new cv.MatVector(), new cv.Mat()];
  try {
    // Green carries most of the brightness and none of the colour fringes at the edges.
    const { data } = grey;
    for (let i = 0; i < data.length; i++) data[i] = picture.data[3 * i + 1];
    detector.detectMarkers(grey, corners, ids, rejected);
    const out: number[][] = [];
    for (let k = 0; k < corners.size(); k++) {
      const quad = corners.get(k);
      out.push(Array.from(quad.data32F, (v) => v + 0.5)); // OpenCV counts the first pixel's centre as 0
      quad.delete();
    }
    return out;
  } finally {
    for (const thing of [grey, dictionary, parameters, refine, detector, corners, rejected, ids]) thing.delete();
  }
}
