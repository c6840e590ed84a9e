/**
 * Draws the turnable surface with WebGL: relief from the shape and the exaggerated displacement, colours of the zero-centred
 * scale fading out towards no change as in the flat map, the before photograph in grey beneath. Loaded only when it is asked for.
 * Nothing is drawn but on request.
 */
import {
  BufferAttribute,
  BufferGeometry,
  DataTexture,
  DoubleSide,
  LinearFilter,
  LinearSRGBColorSpace,
  Mesh,
  PerspectiveCamera,
  Raycaster,
  RGBAFormat,
  Scene,
  ShaderMaterial,
  Texture,
  Vector2,
  WebGLRenderer,
} from 'three';
import { divergingTable } from '#shared/diverging.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { type SurfaceMesh, smoothed } from './surface-mesh.ts';
import { FRAGMENT, VERTEX } from './surface-shaders.ts';
import type { Turn } from './turn.ts';

export type Pointed = Readonly<{ zone: ZoneId | null; mm: number | null }>;
export type SurfaceScene = Readonly<{
  resize: (width: number, height: number, density: number) => void;
  turn: (turn: Turn) => void;
  /** How many times larger than measured the relief is drawn. */
  exaggerate: (times: number) => void;
  mark: (zone: ZoneId | null) => void;
  span: (mm: number) => void;
  photograph: (shown: boolean) => void;
  /** What lies under a place, -1..1 from left to right and from bottom to top. */
  at: (x: number, y: number) => Pointed | null;
  dispose: () => void;
}>;

const VIEW_ANGLE = 20;

/** Throws when the browser has no WebGL. */
export function openSurfaceScene(canvas: HTMLCanvasElement, mesh: SurfaceMesh, photo: ImageBitmap, spanMm: number): SurfaceScene {
  const renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true, preserveDrawingBuffer: true });
  // Colours are written as the screen wants them; nothing is to be converted.
  renderer.outputColorSpace = LinearSRGBColorSpace;
  const geometry = geometryOf(mesh, photo);
  const picture = new Texture(photo);
  picture.flipY = false;
  picture.minFilter = LinearFilter;
  picture.generateMipmaps = false;
  picture.needsUpdate = true;
  const scale = scaleTexture();
  const material = new ShaderMaterial({
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
    side: DoubleSide,
    uniforms: {
      photo: { value: picture },
      scale: { value: scale },
      spanMm: { value: spanMm },
      photoShare: { value: 1 },
      density: { value: 1 },
    },
  });
  const face = new Mesh(geometry, material);
  const scene = new Scene();
  scene.add(face);
  const camera = new PerspectiveCamera(VIEW_ANGLE, 1, 10, 4000);
  let zoom = 1;
  let frame = 0;

  const draw = (): void => {
    cancelAnimationFrame(frame);
    frame = requestAnimationFrame(() => renderer.render(scene, camera));
  };
  const place = (): void => {
    const radius = geometry.boundingSphere!.radius;
    const narrow = Math.min(1, camera.aspect);
    camera.position.z = (0.94 * radius) / Math.tan((VIEW_ANGLE * Math.PI) / 360) / narrow;
    camera.zoom = zoom;
    camera.updateProjectionMatrix();
    draw();
  };
  const raycaster = new Raycaster();

  return {
    resize: (width, height, density) => {
      renderer.setPixelRatio(density);
      renderer.setSize(width, height, false);
      material.uniforms['density']!.value = density;
      camera.aspect = width / Math.max(1, height);
      place();
    },
    turn: (turn) => {
      face.rotation.set((-turn.pitch * Math.PI) / 180, (turn.yaw * Math.PI) / 180, 0, 'XYZ');
      zoom = turn.zoom;
      place();
    },
    exaggerate: (times) => {
      const places = geometry.getAttribute('position') as BufferAttribute;
      const centre = centreOf(mesh.places);
      for (let i = 0; i < mesh.change.length; i++)
        for (let k = 0; k < 3; k++)
          places.array[3 * i + k] =
            mesh.places[3 * i + k]! - centre[k]! + times * mesh.relief[i]! * mesh.change[i]! * mesh.outward[3 * i + k]!;
      places.needsUpdate = true;
      geometry.computeVertexNormals();
      draw();
    },
    mark: (zone) => {
      const index = zone === null ? -2 : ZONE_IDS.indexOf(zone);
      const marks = geometry.getAttribute('mark') as BufferAttribute;
      marks.array.set(
        smoothed(
          Float32Array.from(mesh.zone, (z) => Number(z === index)),
          mesh.triangles,
        ),
      );
      marks.needsUpdate = true;
      draw();
    },
    span: (mm) => {
      material.uniforms['spanMm']!.value = mm;
      draw();
    },
    photograph: (shown) => {
      material.uniforms['photoShare']!.value = Number(shown);
      draw();
    },
    at: (x, y) => {
      raycaster.setFromCamera(new Vector2(x, y), camera);
      const hit = raycaster.intersectObject(face)[0]?.face;
      if (!hit) return null;
      const corners = [hit.a, hit.b, hit.c];
      const i = corners.find((corner) => mesh.zone[corner]! >= 0) ?? hit.a;
      return { zone: ZONE_IDS[mesh.zone[i]!] ?? null, mm: mesh.known[i] ? mesh.change[i]! : null };
    },
    dispose: () => {
      cancelAnimationFrame(frame);
      for (const one of [geometry, material, picture, scale, renderer]) one.dispose();
    },
  };
}

function geometryOf(mesh: SurfaceMesh, photo: ImageBitmap): BufferGeometry {
  const geometry = new BufferGeometry();
  const set = (name: string, values: Float32Array, dims: number): void =>
    void geometry.setAttribute(name, new BufferAttribute(values, dims));
  const centre = centreOf(mesh.places);
  set(
    'position',
    mesh.places.map((mm, k) => mm - centre[k % 3]!),
    3,
  );
  set('change', mesh.change, 1);
  set('known', mesh.known, 1);
  set(
    'zoned',
    Float32Array.from(mesh.zone, (zone) => Number(zone >= 0)),
    1,
  );
  set('mark', new Float32Array(mesh.zone.length), 1);
  set(
    'plate',
    mesh.plate.map((px, k) => px / (k % 2 === 0 ? photo.width : photo.height)),
    2,
  );
  set('facing', mesh.facing, 1);
  geometry.setIndex(new BufferAttribute(mesh.triangles, 1));
  geometry.computeVertexNormals();
  geometry.computeBoundingSphere();
  return geometry;
}

/** The middle of the box around the face: it turns about this point. */
function centreOf(places: Float32Array): [number, number, number] {
  return [0, 1, 2].map((k) => {
    let [low, high] = [Infinity, -Infinity];
    for (let i = k; i < places.length; i += 3) {
      low = Math.min(low, places[i]!);
      high = Math.max(high, places[i]!);
    }
    return (low + high) / 2;
  }) as [number, number, number];
}

/** The 257 colours of the scale, from loss to gain. */
function scaleTexture(): DataTexture {
  const rgb = divergingTable();
  const count = rgb.length / 3;
  const rgba = new Uint8Array(4 * count);
  for (let i = 0; i < count; i++) rgba.set([rgb[3 * i]!, rgb[3 * i + 1]!, rgb[3 * i + 2]!, 255], 4 * i);
  const texture = new DataTexture(rgba, count, 1, RGBAFormat);
  texture.minFilter = LinearFilter;
  texture.magFilter = LinearFilter;
  texture.needsUpdate = true;
  return texture;
}
