/**
 * The surface's two shaders (WebGL 2, GLSL ES 3.00 by way of three). Colours are sRGB codes 0..1 throughout.
 * The map fades out below 0.4 of the span and covers at most 0.8, as lib/report/change-map.ts has it.
 */
export const VERTEX = `
attribute float change;
attribute float known;
attribute float zoned;
attribute float mark;
attribute float facing;
attribute vec2 plate;
varying float vChange;
varying float vKnown;
varying float vZoned;
varying float vMark;
varying float vFacing;
varying vec2 vPlate;
varying vec3 vNormal;
void main() {
  vChange = change;
  vKnown = known;
  vZoned = zoned;
  vMark = mark;
  vFacing = facing;
  vPlate = plate;
  vNormal = normalMatrix * normal;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`;

export const FRAGMENT = `
uniform sampler2D photo;
uniform sampler2D scale;
uniform float spanMm;
uniform float photoShare;
uniform float density;
varying float vChange;
varying float vKnown;
varying float vZoned;
varying float vMark;
varying float vFacing;
varying vec2 vPlate;
varying vec3 vNormal;
void main() {
  vec3 n = normalize(vNormal) * (gl_FrontFacing ? 1.0 : -1.0);
  float light = 0.5 + 0.5 * max(0.0, dot(n, normalize(vec3(-0.45, 0.55, 0.70))));
  float grey = dot(texture2D(photo, vPlate).rgb, vec3(0.2126, 0.7152, 0.0722));
  // The photograph carries its own light; where it is turned away the plain surface takes over.
  float seen = photoShare * smoothstep(0.1, 0.5, vFacing);
  vec3 ground = vec3(mix(0.80 * light, min(1.0, grey * 1.1) * (0.55 + 0.45 * light), seen));

  float t = clamp(vChange / spanMm, -1.0, 1.0);
  vec3 colour = texture2D(scale, vec2((t * 0.5 + 0.5) * 256.0 / 257.0 + 0.5 / 257.0, 0.5)).rgb;
  float measured = smoothstep(0.1, 0.9, vKnown);
  float cover = 0.8 * smoothstep(0.0, 1.0, abs(t) / 0.4) * measured;
  vec3 shown = mix(ground, colour * (0.7 + 0.35 * light), cover);

  float stripe = step(mod(gl_FragCoord.x + gl_FragCoord.y, 9.0 * density), 1.6 * density);
  shown = mix(shown, vec3(0.25), 0.55 * stripe * step(0.5, vZoned) * (1.0 - measured));

  float edge = abs(vMark - 0.5) / max(fwidth(vMark), 1e-5);
  if (vMark > 0.05 && vMark < 0.95) {
    if (edge < 1.2 * density) shown = vec3(0.08);
    else if (edge < 2.2 * density) shown = vec3(0.95);
  }
  gl_FragColor = vec4(shown, 1.0);
}`;
