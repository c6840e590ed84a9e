'use client';
/** One visit: its photographs by view, which of each view is used, and what can be changed about it. */
import { useRouter } from 'next/navigation';
import { useState } from 'react';
import { ask } from '#app/_parts/ask.ts';
import { viewLabel } from '#app/_parts/check-words.ts';
import { SureButton } from '#app/_parts/sure-button.tsx';
import { type Visit, visitSchema } from '#shared/case.ts';
import { VIEWS, type View } from '#shared/comparison.ts';
import css from './case.module.css';
import { Picture } from './import-photo.tsx';
import { VisitForm } from './visit-form.tsx';

type Change = { do: 'baseline' } | { do: 'choose' | 'remove'; sha256: string } | { do: 'view'; sha256: string; view: View };

/** `dayWords` such as "day 4"; empty when no treatment gives a day 0. */
export function VisitSheet({ visit, dayWords }: { visit: Visit; dayWords: string }) {
  const router = useRouter();
  const [fault, setFault] = useState('');
  const address = `/api/cases/${visit.case}/visits/${visit.id}`;
  const change = async (body: Change) => {
    const answer = await ask(visitSchema, address, { method: 'POST', body });
    setFault(answer.ok ? '' : `${answer.message} ${answer.advice}`);
    router.refresh();
  };
  const views = VIEWS.filter((view) => visit.photos.some((photo) => photo.view === view));
  return (
    <section className={`sheet ${css.visit}`} aria-labelledby={`visit-${visit.id}`}>
      <div className={css.visitHead}>
        <h3 id={`visit-${visit.id}`}>
          <span className={css.date}>{visit.on}</span>
          {dayWords && <span className="soft">, {dayWords}</span>}
          {visit.label && <>, {visit.label}</>}
        </h3>
        {visit.baseline ? (
          <span className={css.badge}>baseline</span>
        ) : (
          <button type="button" className="plain small" onClick={() => void change({ do: 'baseline' })}>
            Make it the baseline<span className="unseen">: {visit.on}</span>
          </button>
        )}
      </div>
      {visit.note && <p className="small">{visit.note}</p>}
      {views.length === 0 && <p className="small soft">No photographs.</p>}
      <div className={css.strip}>
        {views.map((view) => (
          <div key={view}>
            <h4>{viewLabel(view)}</h4>
            <ul className={css.frames}>
              {visit.photos
                .filter((photo) => photo.view === view)
                .sort((a, b) => Number(b.chosen) - Number(a.chosen))
                .map((photo, _, all) => (
                  <li key={photo.sha256} className={photo.chosen || all.length === 1 ? css.chosen : undefined}>
                    <Picture sha256={photo.sha256} name={`${viewLabel(view)}, ${visit.on}`} />
                    <details className={css.verdict}>
                      <summary className="small">
                        {photo.chosen ? (all.length > 1 ? 'Used' : 'Change') : 'Kept'}
                        <span className="unseen">
                          : {photo.name}, {visit.on}
                        </span>
                      </summary>
                      <p className={`small soft ${css.fileName}`}>
                        {photo.name}
                        {photo.takenAt && <>, {photo.takenAt.slice(11, 16)}</>}
                      </p>
                      {!photo.chosen && (
                        <button type="button" className="small" onClick={() => void change({ do: 'choose', sha256: photo.sha256 })}>
                          Use this one
                        </button>
                      )}
                      <label className="small" htmlFor={`move-${visit.id}-${photo.sha256}`}>
                        View
                      </label>
                      <select
                        id={`move-${visit.id}-${photo.sha256}`}
                        value={photo.view}
                        onChange={(event) => void change({ do: 'view', sha256: photo.sha256, view: event.target.value as View })}
                      >
                        {VIEWS.map((each) => (
                          <option key={each} value={each}>
                            {viewLabel(each)}
                          </option>
                        ))}
                      </select>
                      <SureButton
                        className="plain small"
                        label="Take out of the case"
                        of={`${photo.name}, ${visit.on}`}
                        sure="Take out for good"
                        onSure={() => void change({ do: 'remove', sha256: photo.sha256 })}
                      />
                    </details>
                  </li>
                ))}
            </ul>
          </div>
        ))}
      </div>
      {fault && (
        <p className="note stop small" role="alert">
          {fault}
        </p>
      )}
      <VisitForm visit={visit} />
    </section>
  );
}
