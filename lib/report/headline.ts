/** The whole answer in one or two sentences: what a reader takes away who reads nothing else. */
import type { Comparison } from '#shared/comparison.ts';
import { findingPhrase } from '#shared/finding-words.ts';
import { zoneLabel } from '#shared/zones.ts';
import { byEvidence } from './by-evidence.ts';

/** More zones than this are counted, not named. */
const MOST_NAMED = 4;

export function headline(comparison: Comparison): string {
  if (!comparison.gate.comparable) return 'These photographs are not comparable, so nothing was measured.';
  const concern = comparison.zones.filter((zone) => !zone.reference);
  const assessed = concern.filter((zone) => zone.assessable && zone.finding !== 'not-assessable');
  if (assessed.length === 0) return 'No zone could be assessed.';
  const beyond = byEvidence(assessed.filter((zone) => zone.finding === 'beyond-error'));
  const warning = comparison.control.trusted ? '' : ' The reference zones seem to have changed too, so this comparison cannot be trusted.';
  return zonesSentence(beyond, assessed.length) + pooledSentence(comparison, beyond.length) + warning;
}

function zonesSentence(beyond: Comparison['zones'], assessed: number): string {
  const among = `${assessed} zone${assessed === 1 ? '' : 's'} assessed`;
  if (beyond.length === 0) return `No zone changed by more than error, of ${among}.`;
  const named = beyond
    .slice(0, MOST_NAMED)
    .map((zone) => `${zoneLabel(zone.zone).replace(',', '')} (${findingPhrase(zone).replace(/,? beyond error$/, '')})`);
  const rest = beyond.length > MOST_NAMED ? ` and ${beyond.length - MOST_NAMED} more` : '';
  return `${beyond.length} of ${among} changed by more than error: ${named.join(', ')}${rest}.`;
}

/** Only worth a sentence of its own when it finds what no zone shows. */
function pooledSentence({ pooled }: Comparison, beyond: number): string {
  if (!pooled || beyond > 0) return '';
  return pooled.finding === 'beyond-error'
    ? ' Taken together, however, the zones of concern did change by more than error.'
    : ' Nor did the zones of concern taken together.';
}
