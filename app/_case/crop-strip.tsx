/** One zone over all visits, cut from the aligned photographs under the light of the baseline. */
import { pathOf } from '#app/_parts/face-diagram.tsx';
import type { Course } from '#lib/series/course.ts';
import { METRICS } from '#shared/comparison.ts';
import { fixed, metricText } from '#shared/numbers.ts';
import { type PlatePart, plateFileName } from '#shared/plates.ts';
import css from './case.module.css';
import type { ZoneCrop } from './zone-crops.ts';

type Props = { course: Course; zone: string; crops: readonly ZoneCrop[] };

export function CropStrip({ course, zone, crops }: Props) {
  const first = crops[0];
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keyboard
    <ul className={css.crops} tabIndex={0} aria-label={`${zone} over all visits`}>
      <li>
        {first ? (
          <Crop crop={first} part="before" words={`${zone}, baseline of ${course.baseline.on}`} />
        ) : (
          <div className={css.noCrop}>No picture</div>
        )}
        <p className="small">
          <span className={css.date}>{course.baseline.on}</span>
          <br />
          baseline
        </p>
      </li>
      {course.points.map((point) => {
        const crop = crops.find(({ comparison }) => comparison === point.comparison);
        const { volumeMl } = point.metrics;
        return (
          <li key={point.visit}>
            {crop ? (
              <Crop crop={crop} part="afterRelit" words={`${zone}, ${point.on}, in the pose and light of the baseline`} />
            ) : (
              <div className={css.noCrop}>
                {point.state === 'missing' ? 'Not compared yet' : point.state === 'pending' ? 'Being measured' : 'No aligned picture'}
              </div>
            )}
            <p className="small">
              <span className={css.date}>{point.on}</span>, day {fixed(point.day, 0)}
              <br />
              {volumeMl ? `${METRICS.volumeMl.label} ${metricText('volumeMl', volumeMl.value)}` : <span className="soft">no number</span>}
            </p>
          </li>
        );
      })}
    </ul>
  );
}

function Crop({ crop: { comparison, view, width, height, box, loops }, part, words }: { crop: ZoneCrop; part: PlatePart; words: string }) {
  return (
    <svg viewBox={`${box.x.toFixed(1)} ${box.y.toFixed(1)} ${box.side.toFixed(1)} ${box.side.toFixed(1)}`} role="img" aria-label={words}>
      <image
        href={`/api/comparisons/${comparison}/files/${plateFileName(view, part)}`}
        width={width}
        height={height}
        preserveAspectRatio="none"
      />
      {loops.map((loop) => (
        <path
          key={loop.slice(0, 4).join()}
          d={pathOf(loop, true)}
          className={css.outline}
          strokeWidth="1"
          vectorEffect="non-scaling-stroke"
        />
      ))}
    </svg>
  );
}
