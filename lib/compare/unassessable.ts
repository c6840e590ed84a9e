/** Which zones can't be judged on this pair, and why. */
import type { ZoneMeasure } from '#lib/measure/measure-zones.ts';
import type { Check } from '#shared/comparison.ts';
import { MOBILE_ZONES, type ZoneId } from '#shared/zones.ts';

/** At least this share of a zone must be seen as skin in both photographs. */
const SEEN_LEAST = 0.35;
/**
 * Beside the hairline it is hair that hides the rest, and strands lie otherwise on every day: half must be clear. On the talking-face
 * frames two temples of which 42 and 44 % were seen read 7 and 9 L* too dark; those seen by 60 % and more stayed within 2.
 */
const SEEN_LEAST_BY_HAIR = 0.5;
const BY_HAIR: readonly ZoneId[] = ['forehead', 'temple-left', 'temple-right'];
/** Where the light model held on less than this share, brightness says nothing about the skin. */
const TRUSTED_LEAST = 0.2;
const MOUTH_CHECKS = ['mouth-difference', 'smile-difference', 'mouth-closed', 'smile'];

/** `behind` are the zones that spectacles lie before, each with its sentence (behind-spectacles.ts). */
export function unassessableZones(
  zones: readonly ZoneMeasure[],
  checks: readonly Check[],
  behind: ReadonlyMap<ZoneId, string> = new Map(),
): ReadonlyMap<ZoneId, string> {
  const mouthMoved = checks.some((check) => MOUTH_CHECKS.includes(check.id) && check.verdict === 'caution' && check.of === 'pair');
  const out = new Map<ZoneId, string>();
  for (const { zone, seen, trusted } of zones) {
    const spectacles = behind.get(zone);
    if (spectacles) out.set(zone, spectacles);
    else if (seen < (BY_HAIR.includes(zone) ? SEEN_LEAST_BY_HAIR : SEEN_LEAST))
      out.set(
        zone,
        `Only ${Math.round(100 * seen)} % of the zone is seen as skin in both photographs: it is turned away, hidden by hair or beard, or clipped.`,
      );
    else if (trusted < TRUSTED_LEAST)
      out.set(zone, 'The light on this zone could not be explained: a cast shadow, a highlight, make-up or hair lies on it.');
    else if (mouthMoved && MOBILE_ZONES.includes(zone))
      out.set(zone, 'The mouth differs between the photographs, and this zone moves with it.');
  }
  return out;
}
