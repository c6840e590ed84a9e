/** What speaks for one zone's finding: the figure along a line across it, and what it shows in words. */
import { evidenceSvg } from '#lib/report/evidence-svg.ts';
import { evidenceSentence } from '#lib/report/evidence-words.ts';
import type { ZoneEvidence } from '#shared/field.ts';
import css from './result.module.css';

export function EvidenceFigure({ evidence }: { evidence: ZoneEvidence }) {
  return (
    <figure className={css.evidence}>
      <figcaption>
        <strong>Evidence along a line across the zone</strong>
      </figcaption>
      {/* biome-ignore lint/security/noDangerouslySetInnerHtml: our own drawing, its texts escaped by lib/report */}
      <div dangerouslySetInnerHTML={{ __html: evidenceSvg(evidence) }} />
      <p className="small soft">{evidenceSentence(evidence)}</p>
    </figure>
  );
}
