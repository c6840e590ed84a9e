'use client';
/** Which earlier photograph the patient calls themselves. */
import css from './complaint.module.css';

export type EarlierPhoto = Readonly<{ sha256: string; words: string }>;
type Props = { photos: readonly EarlierPhoto[]; chosen: string | null; onChange: (sha256: string | null) => void };

export function CallsMe({ photos, chosen, onChange }: Props) {
  return (
    <fieldset>
      <legend>Which of these do they call &ldquo;me&rdquo;?</legend>
      <div className={css.earlier}>
        {photos.map(({ sha256, words }) => (
          <label key={sha256}>
            {/* biome-ignore lint/performance/noImgElement: clinical pictures bypass the image optimiser and its cache */}
            <img src={`/api/photos/${sha256}/preview`} alt="" width={110} height={138} />
            <span className="tick small">
              <input type="radio" name="callsMe" checked={chosen === sha256} onChange={() => onChange(sha256)} /> {words}
            </span>
          </label>
        ))}
      </div>
      <label className="tick small">
        <input type="radio" name="callsMe" checked={chosen === null} onChange={() => onChange(null)} /> None of them, or not asked
      </label>
    </fieldset>
  );
}
