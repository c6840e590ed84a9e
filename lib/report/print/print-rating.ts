/** The examiner's rating in print, and the order and times that prove it was made before the measurement was shown. */

import { GRADE_WORDS } from '#lib/report/complaint-words.ts';
import type { Block, Row } from '#lib/report/pdf/blocks.ts';
import type { Complaint } from '#shared/case.ts';
import { ZONE_IDS, zoneLabel } from '#shared/zones.ts';
import { momentText } from './stamp.ts';

/** `resultsSeenBefore`: how often a result of these visits had been opened before the rating. */
export function blindingBlocks(complaint: Complaint, resultsSeenBefore: number): Block[] {
  const { openedAt, patient, examiner, revealed, conclusion } = complaint;
  const stages: readonly (readonly [string, string | undefined])[] = [
    ['Complaint opened', openedAt],
    ['Patient heard: words, severity, zones and marks', patient?.at],
    ['Examiner rated the photographs', examiner?.at],
    ['Measurement shown for the first time', revealed?.at],
    ['Concluded', conclusion?.at],
  ];
  return [
    { kind: 'heading', level: 2, text: 'In which order' },
    {
      kind: 'table',
      rowHeads: 1,
      columns: [
        { head: 'No.', share: 0.5, align: 'right' },
        { head: 'Stage', share: 4 },
        { head: 'Recorded', share: 2.4 },
      ],
      rows: stages.map(([stage, at], k): Row => ({ cells: [String(k + 1), stage, at ? exactMoment(at) : 'not yet'] })),
    },
    {
      kind: 'paragraph',
      words:
        `${leadSentence(complaint)} The record takes these stages in this order alone, writes their times itself, and lets none of them be edited afterwards. ` +
        `From the opening of the complaint until then, the program kept every comparison of these photographs hidden. ${seenSentence(resultsSeenBefore)}`,
    },
  ];
}

/** What the audit knows of earlier looks, and what no record can know. */
function seenSentence(times: number): string {
  if (times === 0) return 'Before that no result of them had been opened, as the audit tells; what was seen elsewhere, it can\u2019t tell.';
  return `The audit tells that a result of them had been opened ${times === 1 ? 'once' : `${times} times`} before, so the rating may not have been blind to it.`;
}

/** "The rating stood 3 minutes before the measurement was first shown." */
function leadSentence({ examiner, revealed }: Complaint): string {
  if (!examiner || !revealed) return 'The measurement has not been shown.';
  const seconds = Math.round((Date.parse(revealed.at) - Date.parse(examiner.at)) / 1000);
  const long =
    seconds < 120
      ? `${seconds} seconds`
      : seconds < 7200
        ? `${Math.round(seconds / 60)} minutes`
        : seconds < 172_800
          ? `${Math.round(seconds / 3600)} hours`
          : `${Math.round(seconds / 86_400)} days`;
  return `The examiner\u2019s rating stood ${long} before the measurement was first shown.`;
}

/** To the second, since two stages may lie within a minute. */
const exactMoment = (at: string): string => momentText(at).replace(/(\d\d:\d\d) UTC$/, `${at.slice(11, 19)} UTC`);

export function ratingBlocks({ examiner }: Complaint, resultsSeenBefore: number): Block[] {
  if (!examiner) throw new RangeError('a complaint is reported once the examiner has rated');
  const { grades, note, examiner: name } = examiner.part;
  const graded = ZONE_IDS.filter((zone) => grades[zone] !== undefined);
  const how = resultsSeenBefore === 0 ? 'made blind to the measurement' : 'recorded before the measurement was shown';
  return [
    { kind: 'heading', level: 2, text: `The examiner\u2019s rating, ${how}` },
    {
      kind: 'paragraph',
      words: [{ text: name, bold: true }, `, ${momentText(examiner.at)}. Fullness of each zone, after against before.`],
    },
    {
      kind: 'table',
      rowHeads: 0,
      columns: [
        { head: 'Zone', share: 2 },
        { head: 'Grade', share: 3 },
      ],
      rows: graded.map((zone) => ({ cells: [zoneLabel(zone), GRADE_WORDS[grades[zone]!]] })),
    },
    ...(note.trim() ? [{ kind: 'paragraph', look: 'quote', words: note.trim() } as const] : []),
  ];
}
