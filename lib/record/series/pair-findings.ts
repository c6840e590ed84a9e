/**
 * What pairs of a series are searched by, taken from a comparison into two short texts, so that no comparison has to be unpacked to
 * find a pair, and a hundred thousand are looked through in a fraction of a second.
 *
 * `zones`    a letter for each zone of the program, in their order: b beyond error, w within, n not assessable, - no result
 * `refused`  ids of the checks that refused, in order, parted by blanks; empty when the pair was measured
 */
import type { Comparison, Finding } from '#shared/comparison.ts';
import { ZONE_IDS } from '#shared/zones.ts';

const LETTER: Readonly<Record<Finding, string>> = { 'beyond-error': 'b', 'within-error': 'w', 'not-assessable': 'n' };

export function pairFindings({ zones, gate }: Comparison): Readonly<{ zones: string; refused: string }> {
  const of = new Map(zones.map(({ zone, finding }) => [zone, LETTER[finding]]));
  return {
    zones: ZONE_IDS.map((zone) => of.get(zone) ?? '-').join(''),
    refused: [...new Set(gate.checks.flatMap(({ id, verdict }) => (verdict === 'refuse' ? [id] : [])))].sort().join(' '),
  };
}

/** SQL over `zones`, with its values: pairs in which the zone, or any without one, has the finding, or any result without one. */
export function findingCondition(zone: string | undefined, finding: string | undefined): readonly [string, ...(string | number)[]] {
  const letter = finding === undefined ? undefined : (LETTER[finding as Finding] ?? 'none');
  if (zone === undefined) return ['instr(zones, ?) > 0', letter ?? ''];
  // SQL counts from 1; a zone that is none stands before the first, where there is nothing.
  const place = (ZONE_IDS as readonly string[]).indexOf(zone) + 1;
  const one = place === 0 ? `''` : 'substr(zones, ?, 1)';
  const values = place === 0 ? [] : [place];
  return letter === undefined ? [`${one} NOT IN ('-', '')`, ...values] : [`${one} = ?`, ...values, letter];
}
