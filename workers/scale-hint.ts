/** What the user knows of the scale: from the words of a request to those of the face room. */
import type { ScaleHint } from '#lib/face/types.ts';
import type { ScaleHintRequest } from '#shared/job.ts';
import { mm } from '#shared/units.ts';

export function scaleHintOf(asked: ScaleHintRequest): ScaleHint {
  if (asked.kind === 'interpupillary') return { kind: 'interpupillary', distanceMm: mm(asked.distanceMm) };
  if (asked.kind === 'marker') return { kind: 'marker', sideMm: mm(asked.sideMm) };
  return { kind: 'iris' };
}
