/** The `transform` attribute (SVG 2, 8.5; CSS Transforms 1) as one matrix [a, b, c, d, e, f]: x' = a x + c y + e, y' = b x + d y + f. */

type Matrix = [number, number, number, number, number, number];

export function transformOf(text: string): Matrix {
  let out: Matrix = [1, 0, 0, 1, 0, 0];
  for (const [, name, inside] of text.matchAll(/(\w+)\s*\(([^)]*)\)/g)) {
    const numbers = inside!
      .trim()
      .split(/[\s,]+/)
      .map((part) => Number.parseFloat(part));
    if (numbers.some((number) => !Number.isFinite(number)))
      throw new RangeError(`a drawing is moved by "${text}", which has no number where one belongs`);
    out = times(out, one(name!, numbers, text));
  }
  return out;
}

function one(name: string, n: readonly number[], whole: string): Matrix {
  switch (name) {
    case 'translate':
      return [1, 0, 0, 1, n[0]!, n[1] ?? 0];
    case 'scale':
      return [n[0]!, 0, 0, n[1] ?? n[0]!, 0, 0];
    case 'matrix':
      return [n[0]!, n[1]!, n[2]!, n[3]!, n[4]!, n[5]!];
    case 'rotate': {
      const angle = (n[0]! * Math.PI) / 180;
      const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
      const [x, y] = [n[1] ?? 0, n[2] ?? 0];
      return [cos, sin, -sin, cos, x - cos * x + sin * y, y - sin * x - cos * y];
    }
    default:
      throw new RangeError(`a drawing is moved by "${whole}", which printed reports do not know`);
  }
}

/** First `b`, then `a`. */
function times(a: Matrix, b: Matrix): Matrix {
  return [
    a[0] * b[0] + a[2] * b[1],
    a[1] * b[0] + a[3] * b[1],
    a[0] * b[2] + a[2] * b[3],
    a[1] * b[2] + a[3] * b[3],
    a[0] * b[4] + a[2] * b[5] + a[4],
    a[1] * b[4] + a[3] * b[5] + a[5],
  ];
}
