/** The study as one HTML file that needs nothing else: no script, no outside address, figures within; printable on A4. Same study, same text. */

import { escapeText } from '#lib/report/markup.ts';
import { REPORT_STYLE } from '#lib/report/report-style.ts';
import type { StudyReport } from '#shared/study.ts';
import { blocksHtml } from './blocks-html.ts';
import { studyBlocks } from './study-blocks.ts';

const STYLE = `${REPORT_STYLE}
body.study { max-width: 980px; } .study .lead { font-size: 16px; } .study p, .study li { max-width: 86ch; }
.study caption { text-align: left; color: var(--soft); font-size: 12.5px; padding: 8px 0 3px; }
.study table { font-size: 12px; margin: 8px 0 14px; } .study th[scope=row] { font-weight: 400; } .study tr.shaded { background: var(--wash); }
.study figure { margin: 10px 0 14px; } .study figure svg { background: none; max-width: 760px; } .study .side svg { max-width: 380px; }
.study .side { display: grid; gap: 14px; grid-template-columns: repeat(auto-fit, minmax(260px, 1fr)); }
.study .wide { overflow-x: auto; } .study .box { background: #fbf0d6; padding: 6px 14px; break-inside: avoid; } .study .box.plain { background: var(--wash); }
.study ul.small, .study p.small { font-size: 12px; color: var(--soft); }
@media screen and (max-width: 700px) { .study table { display: table; } .study .many table { min-width: 640px; } .study figure:not(.side figure) svg { min-width: 560px; } }
@media print { .study table { font-size: 7.6pt; } .study figure svg { max-width: 100%; } }
`;

export function studyHtml(study: StudyReport): string {
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1"><meta name="referrer" content="no-referrer">
<title>${escapeText(study.title)} - Ebbline study</title><style>${STYLE}</style></head><body class="study">
<header><p class="kind">Ebbline study report${study.day ? `, ${escapeText(study.day)}` : ''}</p></header>
<main>
${blocksHtml(studyBlocks(study))}
</main>
</body></html>
`;
}
