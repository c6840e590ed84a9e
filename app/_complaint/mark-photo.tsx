'use client';
/**
 * The patient's own photograph, on which a tap, a click or the keyboard puts numbered marks. Places are fractions of its width and
 * height. Arrow keys move a cross, Enter puts a mark there.
 */
import { type KeyboardEvent, type MouseEvent, useState } from 'react';
import css from './complaint.module.css';
import { type Mark, Marks, usePictureSize } from './marks.tsx';

type Props = {
  address: string;
  label: string;
  marks: readonly Mark[];
  onMark: (mark: Mark) => void;
  /** What lies at a place, for the spoken word. */
  nameAt: (mark: Mark) => string;
};

const STEP = 0.01;
const STRIDE = 0.05;
const ARROWS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

export function MarkPhoto({ address, label, marks, onMark, nameAt }: Props) {
  const size = usePictureSize(address);
  const [cross, setCross] = useState<Mark>({ x: 0.5, y: 0.5 });
  const [byKeys, setByKeys] = useState(false);
  if (size === 'none') return <p className="soft">No picture of this photograph is ready. Choose the zones below.</p>;
  if (size === null) return <p className="soft">The photograph is being opened.</p>;
  const { width, height } = size;

  const keyed = (event: KeyboardEvent) => {
    const way = ARROWS[event.key];
    if (!way) return;
    event.preventDefault();
    setByKeys(true);
    const step = event.shiftKey ? STRIDE : STEP;
    setCross(({ x, y }) => ({ x: within(x + step * way[0]), y: within(y + (step * way[1] * width) / height) }));
  };
  const pressed = (event: MouseEvent<HTMLButtonElement>) => {
    // A press of Enter or Space comes without a place.
    if (event.detail === 0) {
      setByKeys(true);
      onMark(cross);
      return;
    }
    const box = event.currentTarget.getBoundingClientRect();
    const mark = { x: within((event.clientX - box.left) / box.width), y: within((event.clientY - box.top) / box.height) };
    setByKeys(false);
    setCross(mark);
    onMark(mark);
  };
  const [cx, cy] = [cross.x * width, cross.y * height];
  const r = width / 40;
  return (
    <div className={css.markPhoto}>
      <div className={css.markStage}>
        <svg viewBox={`0 0 ${width} ${height}`} aria-hidden="true" focusable="false">
          <image href={address} width={width} height={height} />
          <Marks marks={marks} width={width} height={height} />
          {byKeys && (
            <g className={css.cross} strokeWidth={r / 6}>
              <path d={`M${cx - 2 * r} ${cy}H${cx + 2 * r}M${cx} ${cy - 2 * r}V${cy + 2 * r}`} />
            </g>
          )}
        </svg>
        {/* Laid over the picture, so that the marks' numbers are no part of its name. */}
        <button
          type="button"
          className={css.markButton}
          aria-label={label}
          aria-describedby="mark-keys"
          onKeyDown={keyed}
          onClick={pressed}
        />
      </div>
      <p id="mark-keys" className="small soft">
        Tap or click where the patient points. By keyboard: arrow keys move a cross (with Shift faster), Enter puts a mark.
      </p>
      <p className="unseen" role="status">
        {byKeys ? `Cross: ${nameAt(cross)}` : ''}
      </p>
    </div>
  );
}

const within = (value: number): number => Math.min(1, Math.max(0, Math.round(value * 10_000) / 10_000));
