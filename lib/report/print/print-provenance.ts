/** Where a printed comparison comes from: each photograph with its hash, program, models and parameters, so that it can be repeated. */

import type { Block } from '#lib/report/pdf/blocks.ts';
import { viewWords } from '#lib/report/view-words.ts';
import type { Comparison } from '#shared/comparison.ts';

/** `names` false leaves out what files were called: a camera's own names are harmless, but a name given by hand can be a person's. */
export function provenanceBlocks(comparison: Comparison, { names }: { names: boolean }): Block[] {
  const { inputs, versions, schema } = comparison;
  return [
    { kind: 'heading', level: 2, text: 'Photographs' },
    {
      kind: 'table',
      rowHeads: 0,
      columns: [
        { head: 'Photograph', share: 2.2 },
        { head: names ? 'File and its SHA-256' : 'SHA-256', share: 4.4 },
        { head: 'Taken', share: 1.7 },
        { head: 'Camera', share: 1.8 },
        { head: 'Yaw / pitch / roll', share: 1.9, align: 'right' },
        { head: 'Between pupils', share: 1.1, align: 'right' },
      ],
      rows: inputs.map(({ role, view, name, sha256, facts, pose, interpupillaryPx }) => ({
        cells: [
          `${role === 'before' ? 'Before' : 'After'}, ${viewWords(view).toLowerCase()}`,
          [names ? `${name} ` : '', { text: sha256, mono: true }],
          facts.takenAt?.replace('T', ' ') ?? 'not recorded',
          facts.camera ?? 'not recorded',
          [pose.yawDeg, pose.pitchDeg, pose.rollDeg]
            .map(({ value }) => `${value.toFixed(1)}\u00b0`)
            .join(' / ')
            .replaceAll('-', '\u2212'),
          `${Math.round(interpupillaryPx)} px`,
        ],
      })),
    },
    { kind: 'heading', level: 2, text: 'Made with' },
    {
      kind: 'list',
      look: 'small',
      items: [
        `Ebbline ${versions.ebbline}, schema ${schema}, landmark engine ${versions.landmarkEngine}`,
        ['Parameters ', { text: versions.parametersSha256, mono: true }],
        ...Object.entries(versions.models).map(([name, hash]) => [`${name} `, { text: hash, mono: true }]),
      ],
    },
  ];
}
