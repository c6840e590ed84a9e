/** Said beside a complaint at every stage: on distress and referral, and what is an emergency. */
import { DISTRESS_NOTE } from '#lib/report/complaint-words.ts';
import { STANDING_CAUTIONS } from '#shared/cautions.ts';
import css from './complaint.module.css';

export function ComplaintAside() {
  return (
    <aside className={css.aside} aria-labelledby="with-care">
      <h2 id="with-care">With care</h2>
      <p>{DISTRESS_NOTE}</p>
      <p className={css.urgent}>{STANDING_CAUTIONS.find(({ code }) => code === 'emergency')!.text}</p>
    </aside>
  );
}
