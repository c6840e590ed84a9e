/**
 * One text for one value: JSON with keys in code-unit order and no spaces, so that equal values have equal hashes.
 * Source  the idea of RFC 8785 (JSON Canonicalization Scheme); numbers and strings are ECMAScript's, as there.
 */

/** Members that are undefined are left out, as JSON.stringify does. Throws TypeError for what JSON cannot say. */
export function canonicalJson(value: unknown): string {
  if (value === null || typeof value === 'boolean' || typeof value === 'string') return JSON.stringify(value);
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) throw new TypeError(`JSON has no word for ${value}`);
    return JSON.stringify(value);
  }
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`;
  if (typeof value === 'object') {
    const members = value as Readonly<Record<string, unknown>>;
    const keys = Object.keys(members)
      .filter((key) => members[key] !== undefined)
      .sort();
    return `{${keys.map((key) => `${JSON.stringify(key)}:${canonicalJson(members[key])}`).join(',')}}`;
  }
  throw new TypeError(`JSON has no word for a ${typeof value}`);
}
