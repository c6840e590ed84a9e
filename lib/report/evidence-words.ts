/** The evidence of one zone in sentences: what the figure shows, for those who read and those who listen. */
import type { ZoneEvidence } from '#shared/field.ts';
import { fixed, signed } from '#shared/numbers.ts';
import { zoneLabel } from '#shared/zones.ts';
import { viewWords } from './view-words.ts';

const Z95 = 1.96;
/** Trust under which a place is not counted as explained by the light model. */
const TRUSTED = 0.5;

/** What the line shows, within the zone. */
export function evidenceSentence(evidence: ZoneEvidence): string {
  const { zone, displacementMm, uMm, distanceMm, shiftMm, shiftUMm, inZone, view, ends } = evidence;
  const within = inZone.flatMap((is, k) => (is ? [k] : []));
  const peak = within.reduce((best, k) => (Math.abs(displacementMm[k]!) > Math.abs(displacementMm[best]!) ? k : best), within[0] ?? 0);
  const shift = Math.max(0, ...within.map((k) => Math.abs(shiftMm[k] ?? 0)));
  const light = lightnessAt(evidence, within);
  return (
    `${zoneLabel(zone)}, along a line of ${fixed(distanceMm.at(-1) ?? 0, 0)} mm from its ${ends[0]} to its ${ends[1]} side (${viewWords(view).toLowerCase()}): ` +
    `the largest displacement in the zone is ${signed(displacementMm[peak]!, 2)} mm (95 % interval ${signed(displacementMm[peak]! - Z95 * uMm[peak]!, 2)} to ${signed(displacementMm[peak]! + Z95 * uMm[peak]!, 2)} mm), ` +
    `${fixed(distanceMm[peak]!, 0)} mm along the line${light}. ` +
    `Texture moved by up to ${fixed(shift, 2)} mm beyond the motion of the head, with an alignment error of ${fixed(shiftUMm, 2)} mm. ` +
    `The light model was trusted on ${Math.round(100 * trustedShare(evidence))} % of the line.`
  );
}

/** The share of the line's samples where the light model held. */
export function trustedShare({ trust }: ZoneEvidence): number {
  return trust.filter((value) => value !== null && value >= TRUSTED).length / trust.length;
}

function lightnessAt({ lightnessBefore, lightnessAfter }: ZoneEvidence, within: readonly number[]): string {
  const changes = within.flatMap((k) => {
    const [before, after] = [lightnessBefore[k], lightnessAfter[k]];
    return before === null || after === null || before === undefined || after === undefined ? [] : [after - before];
  });
  if (changes.length === 0) return '';
  const largest = changes.reduce((best, change) => (Math.abs(change) > Math.abs(best) ? change : best));
  return `; lightness there changed by up to ${signed(largest, 1)} L*`;
}
