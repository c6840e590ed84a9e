/** The printed pictures of each view: as taken, in one frame, under one light, and the maps of change with their legends. */

import { byEvidence } from '#lib/report/by-evidence.ts';
import { legendSvg } from '#lib/report/legend-svg.ts';
import { dataUri } from '#lib/report/markup.ts';
import type { Block, Figure } from '#lib/report/pdf/blocks.ts';
import { lightSentence, type ReportView, registrationSentence } from '#lib/report/report-views.ts';
import { viewWords } from '#lib/report/view-words.ts';
import { zoneMapSvg } from '#lib/report/zone-map-svg.ts';
import type { Comparison } from '#shared/comparison.ts';
import type { PlatePart } from '#shared/plates.ts';
import { zoneLabel } from '#shared/zones.ts';

/** Heights that let a view with all its pictures stand on two pages at most. */
const MOST = { asTaken: 250, frame: 215, map: 330 } as const;

export function viewBlocks(comparison: Comparison, view: ReportView): Block[] {
  const name = viewWords(view.view);
  const registration = comparison.registration.find((row) => row.view === view.view);
  const light = comparison.light.find((row) => row.view === view.view);
  const taken = photographs(view, [
    ['beforeAsTaken', 'Before, as taken'],
    ['afterAsTaken', 'After, as taken'],
  ]);
  const framed = view.info
    ? photographs(view, [
        ['before', 'Before'],
        ['afterAligned', 'After, aligned'],
        ['afterRelit', 'After, aligned and in the light of before'],
      ])
    : [];
  const maps = mapFigures(comparison, view);
  return [
    { kind: 'heading', level: 2, text: name },
    ...row(taken, MOST.asTaken, 2),
    ...(framed.length > 0 ? [{ kind: 'heading', level: 3, text: 'In one frame' } as const] : []),
    ...row(framed, MOST.frame, 3),
    ...(registration ? [{ kind: 'paragraph', words: registrationSentence(registration) } as const] : []),
    ...(light ? [{ kind: 'paragraph', words: lightSentence(light) } as const] : []),
    ...(maps.pictures.length > 0 ? [{ kind: 'heading', level: 3, text: 'Where it changed' } as const] : []),
    ...row(maps.pictures, MOST.map, 2),
    ...row(maps.legends, 60, 2),
  ];
}

const row = (figures: readonly Figure[], mostHeight: number, across: number): Block[] =>
  figures.length > 0 ? [{ kind: 'figures', figures, mostHeight, across }] : [];

function photographs({ view, pictures }: ReportView, parts: readonly (readonly [PlatePart, string])[]): Figure[] {
  return parts.flatMap(([part, words]) => {
    const jpeg = pictures[part];
    return jpeg ? [{ picture: { jpeg, alt: `Photograph, ${viewWords(view).toLowerCase()}: ${words.toLowerCase()}` }, caption: words }] : [];
  });
}

type Map = Readonly<{ part: PlatePart; title: string; span: number; unit: string; ends: readonly [string, string] }>;

function mapFigures(comparison: Comparison, { view, info, pictures }: ReportView): { pictures: Figure[]; legends: Figure[] } {
  if (!info) return { pictures: [], legends: [] };
  const zones = byEvidence(comparison.zones);
  const all: readonly Map[] = [
    { part: 'changePicture', title: 'Displacement', span: info.displacementSpanMm, unit: 'mm', ends: ['loss', 'gain'] },
    { part: 'lightnessPicture', title: 'Lightness', span: info.lightnessSpan, unit: 'L*', ends: ['darker', 'lighter'] },
  ];
  const maps = all.filter(({ part }) => pictures[part]);
  const marked = zones.flatMap(({ zone, finding }, k) =>
    finding === 'beyond-error' && info.zoneOutlines[zone] ? [`${k + 1} ${zoneLabel(zone)}`] : [],
  );
  const beyond = marked.length > 0 ? ` Zones beyond error: ${marked.join('; ')}.` : ' No zone seen in this view is beyond error.';
  return {
    pictures: maps.map(({ part, title, ends }) => ({
      picture: {
        svg: zoneMapSvg({ info, imageHref: dataUri('image/jpeg', pictures[part]!), label: title, zones }),
        alt: `Map of ${title.toLowerCase()}, from ${ends[0]} to ${ends[1]}, over the after photograph, with the zones outlined.${beyond}`,
      },
      caption: `${title}. Hatched: not measured.`,
    })),
    legends: maps.map(({ part, title, span, unit, ends }) => ({
      picture: {
        svg: legendSvg({ span, unit, title, ends }, `${view}-${part}`),
        alt: `Legend of the map of ${title.toLowerCase()}: from \u2212${span} ${unit}, ${ends[0]}, over 0 to +${span} ${unit}, ${ends[1]}`,
      },
    })),
  };
}
