/** An interval on the column's common axis: band of the smallest detectable change, line of no change, interval, value. */
import type { Finding } from '#shared/comparison.ts';
import { signed } from '#shared/numbers.ts';
import type { Axis } from './axis.ts';
import css from './result.module.css';

export const PLOT_WIDTH = 156;
const HEIGHT = 22;
const INSET = 8;
const at = (axis: Axis, value: number) => INSET + axis.place(value) * (PLOT_WIDTH - 2 * INSET);

type Props = { axis: Axis; value: number; ci95: readonly [number, number]; sdc: number; finding: Finding };

/** Drawn for the eye alone: the numbers stand beside it. */
export function IntervalPlot({ axis, value, ci95, sdc, finding }: Props) {
  const [low, high] = [at(axis, ci95[0]), at(axis, ci95[1])];
  const middle = HEIGHT / 2;
  const x = at(axis, value);
  const tone = finding === 'beyond-error' ? (value < axis.none ? css.loss : css.gain) : css.quiet;
  const bandLeft = at(axis, axis.none - sdc);
  return (
    <svg
      className={css.plot}
      width={PLOT_WIDTH}
      height={HEIGHT}
      viewBox={`0 0 ${PLOT_WIDTH} ${HEIGHT}`}
      aria-hidden="true"
      focusable="false"
    >
      <rect className={css.band} x={bandLeft} y="2" width={Math.max(0, at(axis, axis.none + sdc) - bandLeft)} height={HEIGHT - 4} />
      <line className={css.zero} x1={at(axis, axis.none)} x2={at(axis, axis.none)} y1="0" y2={HEIGHT} />
      <g className={tone}>
        <path d={`M${low} ${middle}H${high}M${low} ${middle - 4}v8M${high} ${middle - 4}v8`} strokeWidth="1.6" fill="none" />
        {finding === 'beyond-error' ? (
          <path d={`M${x} ${middle - 5}l5 5-5 5-5-5z`} stroke="none" />
        ) : (
          <circle className={css.open} cx={x} cy={middle} r="3.6" strokeWidth="1.6" />
        )}
      </g>
    </svg>
  );
}

/** The axis above the column. */
export function AxisPlot({ axis, decimals }: { axis: Axis; decimals: number }) {
  return (
    <svg className={css.plot} width={PLOT_WIDTH} height="18" viewBox={`0 0 ${PLOT_WIDTH} 18`} aria-hidden="true" focusable="false">
      {axis.ticks.map((tick, i) => (
        <g key={tick}>
          <line className={css.zero} x1={at(axis, tick)} x2={at(axis, tick)} y1="13" y2="18" />
          {i % 2 === 0 && (
            <text
              x={at(axis, tick)}
              y="10"
              textAnchor={i === 0 ? 'start' : i === axis.ticks.length - 1 ? 'end' : 'middle'}
              dx={i === 0 ? -INSET : i === axis.ticks.length - 1 ? INSET : 0}
            >
              {axis.none === 0 ? signed(tick, decimals) : tick.toFixed(decimals)}
            </text>
          )}
        </g>
      ))}
    </svg>
  );
}
