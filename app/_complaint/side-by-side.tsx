/** Before and after of each view that both visits have, as they were taken: nothing aligned, nothing relit, nothing measured. */
import { viewLabel } from '#app/_parts/check-words.ts';
import type { sharedViews } from '#shared/complaint-photos.ts';
import css from './complaint.module.css';

type Props = { pairs: ReturnType<typeof sharedViews>; beforeOn: string; afterOn: string };

export function SideBySide({ pairs, beforeOn, afterOn }: Props) {
  if (pairs.length === 0)
    return (
      <p className="note warn">
        The two visits have no view in common. Add a photograph of the same view, or grade what can be seen as &ldquo;cannot say&rdquo;.
      </p>
    );
  return (
    <>
      {pairs.map(({ view, before, after }) => (
        <div key={view} className={css.pair}>
          {(
            [
              ['Before', beforeOn, before],
              ['After', afterOn, after],
            ] as const
          ).map(([word, day, { sha256 }]) => (
            <figure key={word}>
              {/* biome-ignore lint/performance/noImgElement: clinical pictures bypass the image optimiser and its cache */}
              <img src={`/api/photos/${sha256}/preview`} alt={`${word}, ${viewLabel(view).toLowerCase()}`} />
              <figcaption className="small">
                <strong>{word}</strong> <span className="number">{day}</span>, {viewLabel(view).toLowerCase()}
              </figcaption>
            </figure>
          ))}
        </div>
      ))}
    </>
  );
}
