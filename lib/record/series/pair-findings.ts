/**
 * What pairs of a series are searched by, taken from a comparison into two short texts, so that no comparison has to be unpacked to
 * find a pair.
 *
 * `zones`    ",chin:beyond-error,forehead:within-error,": every zone with its finding, a comma at both ends
 * `refused`  ids of the checks that refused, in order, parted by blanks; empty when the pair was measured
 */
import type { Comparison } from '#shared/comparison.ts';

export const pairFindings = ({ zones, gate }: Comparison): Readonly<{ zones: string; refused: string }> => ({
  zones: `,${zones.map(({ zone, finding }) => `${zone}:${finding},`).join('')}`,
  refused: [...new Set(gate.checks.flatMap(({ id, verdict }) => (verdict === 'refuse' ? [id] : [])))].sort().join(' '),
});

/** The text that `zones` holds when a zone, or any without one, has that finding. */
export const findingMark = (zone: string | undefined, finding: string): string => (zone ? `,${zone}:${finding},` : `:${finding},`);
