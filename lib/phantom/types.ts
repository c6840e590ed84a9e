/**
 * What a synthetic face is made from, and what is known about it afterwards.
 *
 * Frames   head: mm; x to the subject's left, y up, z out of the face. Camera: mm; x right, y down, z forward. Image: px.
 * Angles   degrees. Yaw positive towards the subject's left (image right), pitch chin up, roll clockwise on screen. A light's
 *          azimuth is positive to image right and its elevation upwards, both seen from the face towards the camera.
 */
import type { ZoneId } from '#shared/zones.ts';

/** Shape of one person: each number is a strength, 0 for the average face and about -1..1 for people. */
export type ShapeSpec = Readonly<{
  faceWidth: number;
  jawWidth: number;
  chinLength: number;
  cheekFullness: number;
  noseWidth: number;
  noseLength: number;
  noseBridge: number;
  lipFullness: number;
  mouthWidth: number;
  eyeOpening: number;
  browHeight: number;
  browRidge: number;
  foreheadSlope: number;
  /** Slight difference of the two sides. */
  asymmetry: number;
  /** Depth of the folds, mm. */
  tearTroughMm: number;
  nasolabialMm: number;
  marionetteMm: number;
}>;

export type SkinSpec = Readonly<{
  /** 0 the lightest, 1 the darkest. */
  tone: number;
  /** Strength of blood's colour on cheeks and nose; 1 is ordinary. */
  redness: number;
  /** Freckles and small spots, 0..1. */
  freckles: number;
  /** Shine of forehead and nose; 1 is ordinary. */
  oil: number;
  /** Pores and fine lines; 1 is ordinary. */
  relief: number;
  /** Brightness of hair and brows: 0 black, 1 fair. */
  hair: number;
  /** 0 dark brown, 0.5 hazel, 1 light blue. */
  iris: number;
}>;

export type IdentitySpec = Readonly<{ seed: number; shape: ShapeSpec; skin: SkinSpec }>;

/**
 * A change of volume in one zone, or over several taken as one region; loss is negative. Without `spreadMm` it stays inside and
 * fades to nothing at the border. With it (5 to 12 mm is like life) it is blurred by a Gaussian of that standard deviation and
 * runs out over the neighbours; the volume is that of the whole change, and the truth says how much of it lies in which zone.
 */
export type LossSpec = Readonly<{ volumeMl: number; spreadMm?: number }> &
  (Readonly<{ zone: ZoneId }> | Readonly<{ zones: readonly ZoneId[] }>);

/** Slight movements of a resting face; 0 is at rest, 1 a plain movement. */
export type ExpressionSpec = Readonly<{
  smile: number;
  mouthOpen: number;
  browRaise: number;
  lidClose: number;
  gazeXDeg: number;
  gazeYDeg: number;
}>;

export type PoseSpec = Readonly<{ yawDeg: number; pitchDeg: number; rollDeg: number; shiftXMm: number; shiftYMm: number }>;

export type LampSpec = Readonly<{
  azimuthDeg: number;
  elevationDeg: number /** Half-angle under which the face sees the lamp. */;
  radiusDeg: number;
  power: number;
}>;

export type LightSpec = Readonly<{
  lamps: readonly LampSpec[];
  /** Light from all around: from above, from the front and from below. */
  ambient: Readonly<{ above: number; front: number; below: number }>;
  /** Colour of all light: factors of red and blue against green. */
  warmth: Readonly<{ red: number; blue: number }>;
}>;

export type CameraSpec = Readonly<{
  widthPx: number;
  heightPx: number;
  /** From the lens to the pupils of a head that faces it. */
  distanceMm: number;
  /** Sets the focal length: pupil distance of the average face in px. */
  interpupillaryPx: number;
  /** Factor of brightness; 1 is well exposed. */
  exposure: number;
  /** Electrons at white: fewer is noisier. */
  fullWell: number;
  readNoise: number;
  blurPx: number;
  /** Loss of light in the corners, 0..1. */
  vignetting: number;
  /** Chance of shot and read noise only. */
  noiseSeed: number;
}>;

/** A pair of spectacles, as drawn by draw-spectacles.ts. */
export type SpectaclesSpec = Readonly<{
  /** `full` goes round each lens, `half` only above it, `rimless` leaves the lens's own edge. */
  rim: 'full' | 'half' | 'rimless';
  /** Of one lens: usual are 44 to 58 and 28 to 50. */
  lensWidthMm: number;
  lensHeightMm: number;
  /** Exponent of the lens's outline: 2 is an ellipse, 5 nearly a box. */
  squareness: number;
  /** Of rim and bridge as seen from the front: 1 is wire, 5 a thick frame. */
  thicknessMm: number;
  /** Reflectance of the frame, linear sRGB. */
  rgb: readonly [number, number, number];
  /** Strength of the lamps' reflection on the frame: 0.1 plastic, 1 polished metal. */
  shine: number;
  /** Share of light that comes back through the lens: 1 clear, 0.1 sunglasses. */
  clear: number;
  /** Brightness of a window mirrored in the lens; 0 none, 1 white. */
  glare: number;
  /** How far they have slid down the nose. */
  slideMm: number;
}>;

/** `draft` for many small tests, `standard` for validation, `fine` for pictures that people look at. */
export type QualityName = 'draft' | 'standard' | 'fine';

export type PhantomSpec = Readonly<{
  identity: IdentitySpec;
  loss: readonly LossSpec[];
  expression: ExpressionSpec;
  pose: PoseSpec;
  light: LightSpec;
  camera: CameraSpec;
  quality: QualityName;
  /** Left out, the face is bare. For tests and tuning of what recognises spectacles. */
  spectacles?: SpectaclesSpec;
}>;

export type PhantomTruth = Readonly<{
  /** Volume change of every zone with a change, mL: integral of the displacement over the zone. A spread change also lies partly outside all zones. */
  zoneMl: Readonly<Partial<Record<ZoneId, number>>>;
  /** Of the whole surface. */
  totalMl: number;
  /** (n) mm along the outward normal, at the vertices of the rendered mesh. */
  displacementMm: Float64Array;
  /** (n, 3) mm, head frame, at rest and before the change. */
  restVerticesMm: Float64Array;
  triangles: Uint32Array;
  /** (n, 2) of the canonical mesh; outside 0..1 away from the face. */
  uv: Float64Array;
  /** (468, 2) px: where the landmarks of the mesh truly are. */
  landmarksPx: Float64Array;
  /** (468): 1 where the landmark is seen by the camera. */
  landmarkSeen: Uint8Array;
  /** (2, 2) px: pupils of the subject's right and left eye. */
  pupilsPx: Float64Array;
  /** At the depth of the pupils. */
  mmPerPx: number;
  irisDiameterMm: number;
}>;
