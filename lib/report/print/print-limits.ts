/** What a comparison can't say, in print: its scale, its error limits, how small a change it would have missed, and the standing cautions. */

import { scaleSentence } from '#lib/report/comparison-table.ts';
import { errorSourceWords } from '#lib/report/error-source.ts';
import type { Block } from '#lib/report/pdf/blocks.ts';
import type { Comparison } from '#shared/comparison.ts';
import { fixed, withUnit } from '#shared/numbers.ts';

export function cautionBlocks({ cautions }: Pick<Comparison, 'cautions'>): Block[] {
  return cautions.length === 0
    ? []
    : [
        {
          kind: 'box',
          blocks: [
            { kind: 'heading', level: 2, text: 'To be kept in mind' },
            { kind: 'list', items: cautions.map(({ text }) => text) },
          ],
        },
      ];
}

export function limitBlocks(comparison: Comparison): Block[] {
  if (comparison.zones.length === 0) return comparison.scale ? [{ kind: 'paragraph', words: scaleSentence(comparison.scale) }] : [];
  return [
    { kind: 'heading', level: 2, text: 'Scale, error and what can\u2019t be said' },
    {
      kind: 'list',
      items: [
        ...(comparison.scale ? [scaleSentence(comparison.scale)] : []),
        `Standard errors ${errorSourceWords(comparison)}.`,
        ...detectionSentence(comparison),
        ...unjudgedSentence(comparison),
        'Volume is read from shading and from the shift of skin texture: what changes evenly over the whole face, or deep under the skin without moving it, is not seen.',
        'A photograph shows the moment it was taken. The cause of a change can\u2019t be read from it.',
      ],
    },
  ];
}

function detectionSentence({ zones }: Comparison): string[] {
  const of = (id: 'volumeMl' | 'lightnessDelta'): number[] =>
    zones.flatMap((zone) => (zone.assessable && !zone.reference && zone.metrics[id] ? [zone.metrics[id].sdc] : []));
  const range = (values: readonly number[], decimals: number, unit: string): string => {
    const [low, high] = [fixed(Math.min(...values), decimals), fixed(Math.max(...values), decimals)];
    return low === high ? withUnit(low, unit) : `${low} to ${withUnit(high, unit)}`;
  };
  const [volumes, lightness] = [of('volumeMl'), of('lightnessDelta')];
  if (volumes.length === 0) return [];
  return [
    `The smallest change of volume that can be told from error here is ${range(volumes, 2, 'mL')}, depending on the zone` +
      `${lightness.length > 0 ? `; of lightness, ${range(lightness, 1, 'L*')}` : ''}. A smaller change may have happened.`,
  ];
}

function unjudgedSentence({ zones }: Comparison): string[] {
  const unjudged = zones.filter((zone) => !zone.assessable || zone.finding === 'not-assessable').length;
  return unjudged === 0
    ? []
    : [
        `${unjudged === 1 ? 'One zone' : `${unjudged} zones`} could not be assessed; nothing is said of ${unjudged === 1 ? 'it' : 'them'}, neither change nor none.`,
      ];
}
