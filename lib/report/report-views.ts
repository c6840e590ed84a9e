/** The report's pictures of each view: as taken, in one frame, under one light, and the maps of change with their legends. */
import type { Comparison, View } from '#shared/comparison.ts';
import type { PlateInfo, PlatePart } from '#shared/plates.ts';
import { byEvidence } from './by-evidence.ts';
import { legendSvg } from './legend-svg.ts';
import { dataUri, escapeText } from './markup.ts';
import { viewWords } from './view-words.ts';
import { zoneMapSvg } from './zone-map-svg.ts';

/** The pictures of one view, as JPEG bytes by part. Without `info` there are only those as taken. */
export type ReportView = Readonly<{ view: View; info: PlateInfo | null; pictures: Readonly<Partial<Record<PlatePart, Uint8Array>>> }>;

export function viewSection(comparison: Comparison, { view, info, pictures }: ReportView): string {
  const picture = (part: PlatePart, words: string): string => {
    const bytes = pictures[part];
    return bytes
      ? `<figure><img alt="${escapeText(words)}" src="${dataUri('image/jpeg', bytes)}"><figcaption>${escapeText(words)}</figcaption></figure>`
      : '';
  };
  const zones = byEvidence(comparison.zones);
  const map = (part: PlatePart, title: string, span: number, unit: string, ends: readonly [string, string]): string => {
    const bytes = pictures[part];
    if (!bytes || !info) return '';
    const drawn = zoneMapSvg({ info, imageHref: dataUri('image/jpeg', bytes), label: `${title}: map over the after photograph`, zones });
    return `<figure><div class="map">${drawn}</div><div class="legend">${legendSvg({ span, unit, title, ends }, `${view}-${part}`)}</div><figcaption>${escapeText(title)}. Hatched: not measured.</figcaption></figure>`;
  };
  const registration = comparison.registration.find((row) => row.view === view);
  const light = comparison.light.find((row) => row.view === view);
  return `<section class="view"><h2>${viewWords(view)}</h2>
<div class="row two taken">${picture('beforeAsTaken', 'Before, as taken')}${picture('afterAsTaken', 'After, as taken')}</div>
${info ? `<h3>In one frame</h3><div class="row three">${picture('before', 'Before')}${picture('afterAligned', 'After, aligned')}${picture('afterRelit', 'After, aligned and in the light of before')}</div>` : ''}
${info ? `<h3>Where it changed</h3><div class="row two maps">${map('changePicture', 'Displacement', info.displacementSpanMm, 'mm', ['loss', 'gain'])}${map('lightnessPicture', 'Lightness', info.lightnessSpan, 'L*', ['darker', 'lighter'])}</div>` : ''}
${registration ? `<p>${registrationSentence(registration)}</p>` : ''}
${light ? `<p>${lightSentence(light)}</p>` : ''}</section>`;
}

export function registrationSentence({ residualPx, residualMm, expressionMm }: Comparison['registration'][number]): string {
  return `Aligned to ${residualPx.toFixed(2)} px (${residualMm.toFixed(2)} mm) root mean square; smooth motion of expression up to ${expressionMm.toFixed(2)} mm was taken out.`;
}

export function lightSentence({ exposureRatio, directionDeg, residual }: Comparison['light'][number]): string {
  const direction = directionDeg === null ? 'too even a light to have a direction' : `a light turned by ${directionDeg.toFixed(1)}°`;
  return `The after photograph had ${exposureRatio.toFixed(2)} times the exposure and ${direction}; after correction ${(100 * residual).toFixed(1)} % of brightness is left unexplained.`;
}
