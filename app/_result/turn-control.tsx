/** Buttons that turn the surface: everything that keys and dragging do, with one press each. */
import css from './result.module.css';
import { TURN_ACTS, type Turn, type TurnAct } from './turn.ts';

const BUTTONS: readonly Readonly<{ label: string; path: string; act: TurnAct }>[] = [
  { label: 'Turn to the left', path: 'M9 2L4 7l5 5', act: TURN_ACTS.left },
  { label: 'Turn to the right', path: 'M5 2l5 5-5 5', act: TURN_ACTS.right },
  { label: 'Turn up', path: 'M2 9l5-5 5 5', act: TURN_ACTS.up },
  { label: 'Turn down', path: 'M2 5l5 5 5-5', act: TURN_ACTS.down },
  { label: 'Nearer', path: 'M7 2v10M2 7h10', act: TURN_ACTS.nearer },
  { label: 'Farther', path: 'M2 7h10', act: TURN_ACTS.farther },
];

export function TurnControl({ turn, onAct }: { turn: Turn; onAct: (act: TurnAct) => void }) {
  const atFront = turn.yaw === 0 && turn.pitch === 0 && turn.zoom === 1;
  return (
    <fieldset className={css.tools}>
      <legend className="unseen">Turn the surface</legend>
      {BUTTONS.map(({ label, path, act }) => (
        <button
          key={label}
          type="button"
          aria-label={label}
          title={label}
          className={css.tool}
          disabled={label === 'Farther' && turn.zoom <= 1}
          onClick={() => onAct(act)}
        >
          <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true" focusable="false">
            <path d={path} fill="none" stroke="currentColor" strokeWidth="1.7" />
          </svg>
        </button>
      ))}
      <button type="button" disabled={atFront} onClick={() => onAct(TURN_ACTS.front)}>
        From the front
      </button>
    </fieldset>
  );
}
