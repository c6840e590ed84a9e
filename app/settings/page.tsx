/** The practice's settings: its name, facts of the trade, hints; beside them how the record is protected, its audit, and set-ups. */
import type { Metadata } from 'next';
import Link from 'next/link';
import { book } from '#app/_server/actor.ts';
import { record } from '#app/_server/record.ts';
import css from '#app/_settings/settings.module.css';
import { SettingsForm } from '#app/_settings/settings-form.tsx';
import { protectionSentence } from '#lib/record/protection-words.ts';
import { setUpWords } from '#lib/report/set-up-words.ts';

export const metadata: Metadata = { title: 'Settings' };

export default async function Settings() {
  const [settings, setUps] = await Promise.all([(await book()).settings(), record().listSetUps()]);
  return (
    <>
      <h1>Settings</h1>
      <div className={css.page}>
        <SettingsForm settings={settings} />
        <aside className={css.side} aria-label="About this record">
          <section className="sheet" aria-labelledby="protection">
            <h2 id="protection">Protection</h2>
            <p>{protectionSentence(record().protection)}</p>
          </section>
          <section className="sheet" aria-labelledby="audit">
            <h2 id="audit">Audit</h2>
            <p>Every view, change, export and removal leaves a line.</p>
            <p>
              <Link href="/settings/audit">See the audit</Link>
            </p>
          </section>
          <section className="sheet" aria-labelledby="set-ups">
            <h2 id="set-ups">Set-ups</h2>
            {setUps.length === 0 ? (
              <p>
                None yet. Photograph people twice with nothing changed and run <code>ebbline repeat</code> on the folder: error limits then
                come from your own camera and room.
              </p>
            ) : (
              <ul>
                {setUps.map(({ sha256, profile }) => (
                  <li key={sha256}>
                    {setUpWords(profile)}, <span className="number">{profile.madeOn}</span>
                  </li>
                ))}
              </ul>
            )}
          </section>
        </aside>
      </div>
    </>
  );
}
