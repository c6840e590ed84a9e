/** What stands beside a treatment while it is entered: reviews still due, gel left by the practice's estimate, needles, the emergency. */

import type { Treatment } from '#shared/case.ts';
import { STANDING_CAUTIONS } from '#shared/cautions.ts';
import { factSourceWords, SOURCE_WORDS } from '#shared/fact-source.ts';
import type { TradeFacts } from '#shared/practice.ts';
import { gelLeftWords, passesOf } from '#shared/residual-gel.ts';
import { reviewDays, timingWarnings } from '#shared/treatment-timing.ts';
import { ZONE_IDS, type ZoneId, zoneLabel } from '#shared/zones.ts';
import css from './treatment.module.css';
import { numberOf, type TreatmentFields } from './treatment-fields.ts';

type Earlier = Pick<Treatment, 'on' | 'zones' | 'purpose' | 'pass'>;
type Props = { fields: TreatmentFields; earlier: readonly Earlier[]; facts: TradeFacts };

export function TreatmentNotes({ fields, earlier, facts }: Props) {
  const { on, purpose } = fields;
  const zones = ZONE_IDS.filter((zone) => fields.zones.has(zone));
  const dated = /^\d{4}-\d{2}-\d{2}$/.test(on);
  const warnings = dated ? timingWarnings({ on, zones, purpose }, earlier, facts) : [];
  const dissolved = purpose === 'gel-dissolved';
  const [first, second] = dated ? reviewDays(on, facts) : ['', ''];
  return (
    <div className={css.notes}>
      <div aria-live="polite">
        {warnings.map(({ text }) => (
          <p key={text} className="note warn small">
            {text} <span className={css.source}>{factSourceWords(facts, 'firstReviewDay', 'reviewEveryDays')}</span>
          </p>
        ))}
      </div>
      {dissolved && dated && (
        <p className="small">
          Review on <span className="number">{first}</span>, then treat again or wait; next review <span className="number">{second}</span>.
          Refill not before. <span className={css.source}>{factSourceWords(facts, 'firstReviewDay', 'reviewEveryDays')}</span>
        </p>
      )}
      {dissolved && dated && zones.length > 0 && <GelLeft fields={fields} zones={zones} earlier={earlier} facts={facts} />}
      {purpose === 'gel-pressed-out' && (
        <p className="small">
          A bead is pressed out through a needle of 27 G, rarely up to 20 G.{' '}
          <span className={css.source}>{SOURCE_WORDS['common-practice']}</span>
        </p>
      )}
      <p className={css.urgent}>{STANDING_CAUTIONS.find(({ code }) => code === 'emergency')!.text}</p>
    </div>
  );
}

function GelLeft({ fields, zones, earlier, facts }: Props & { zones: readonly ZoneId[] }) {
  const typed = numberOf(fields.pass);
  const own = { on: fields.on, zones: [...zones], purpose: fields.purpose, pass: Number.isInteger(typed) && typed > 0 ? typed : null };
  const before = earlier.filter(({ on }) => on <= fields.on);
  const byPasses = new Map<number, ZoneId[]>();
  for (const zone of zones) {
    const passes = passesOf(zone, [...before, own]);
    byPasses.set(passes, [...(byPasses.get(passes) ?? []), zone]);
  }
  return (
    <div className="small">
      <p>
        <strong>Gel left, as the practice&rsquo;s own estimate</strong>
      </p>
      <ul className={css.left}>
        {[...byPasses].map(([passes, of]) => (
          <li key={passes}>
            {of.map((zone) => zoneLabel(zone).replace(',', '')).join(', ')}: <span className="number">{gelLeftWords(passes, facts)}</span>{' '}
            after {passes} {passes === 1 ? 'pass' : 'passes'}
          </li>
        ))}
      </ul>
      <p className="soft">
        If each pass takes {Math.round(100 * facts.removedPerPass[0])} to {Math.round(100 * facts.removedPerPass[1])} % of what is there;
        not measured. <span className={css.source}>{factSourceWords(facts, 'removedPerPass')}</span>
      </p>
    </div>
  );
}
