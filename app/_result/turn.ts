/**
 * How the surface is turned and how near it is. Pure, so that buttons, keys, pointer and tests share it.
 * Angles in degrees: yaw is positive when the face turns to the right of the picture, pitch when the chin goes up.
 */
export type Turn = Readonly<{ yaw: number; pitch: number; zoom: number }>;
export type TurnAct =
  | Readonly<{ act: 'turn'; yaw: number; pitch: number }>
  | Readonly<{ act: 'zoom'; factor: number }>
  | Readonly<{ act: 'front' }>;

export const FRONT: Turn = { yaw: 0, pitch: 0, zoom: 1 };
export const TURN_STEP = 15;
const ZOOM_STEP = 1.25;
/** Beyond these the mask is seen from behind. */
const MOST_YAW = 85;
const MOST_PITCH = 60;

const within = (value: number, most: number): number => Math.max(-most, Math.min(most, value));

export function turned(turn: Turn, act: TurnAct): Turn {
  if (act.act === 'front') return FRONT;
  if (act.act === 'zoom') return { ...turn, zoom: Math.max(1, Math.min(6, turn.zoom * act.factor)) };
  return { ...turn, yaw: within(turn.yaw + act.yaw, MOST_YAW), pitch: within(turn.pitch + act.pitch, MOST_PITCH) };
}

export const TURN_ACTS = {
  left: { act: 'turn', yaw: -TURN_STEP, pitch: 0 },
  right: { act: 'turn', yaw: TURN_STEP, pitch: 0 },
  up: { act: 'turn', yaw: 0, pitch: TURN_STEP },
  down: { act: 'turn', yaw: 0, pitch: -TURN_STEP },
  nearer: { act: 'zoom', factor: ZOOM_STEP },
  farther: { act: 'zoom', factor: 1 / ZOOM_STEP },
  front: { act: 'front' },
} as const satisfies Readonly<Record<string, TurnAct>>;

const KEYS: ReadonlyMap<string, TurnAct> = new Map<string, TurnAct>([
  ['ArrowLeft', TURN_ACTS.left],
  ['ArrowRight', TURN_ACTS.right],
  ['ArrowUp', TURN_ACTS.up],
  ['ArrowDown', TURN_ACTS.down],
  ['+', TURN_ACTS.nearer],
  ['=', TURN_ACTS.nearer],
  ['-', TURN_ACTS.farther],
  ['0', TURN_ACTS.front],
]);

/** Null for every other key, and for one pressed with Ctrl, Alt or Meta, which belong to the browser. */
export function turnAct(event: Readonly<{ key: string; ctrlKey: boolean; altKey: boolean; metaKey: boolean }>): TurnAct | null {
  return event.ctrlKey || event.altKey || event.metaKey ? null : (KEYS.get(event.key) ?? null);
}

/** "turned 30° to the right, 15° up"; "from the front". */
export function turnWords({ yaw, pitch }: Turn): string {
  const words = [
    ...(Math.round(yaw) === 0 ? [] : [`${Math.abs(Math.round(yaw))}\u00b0 to the ${yaw > 0 ? 'right' : 'left'}`]),
    ...(Math.round(pitch) === 0 ? [] : [`${Math.abs(Math.round(pitch))}\u00b0 ${pitch > 0 ? 'up' : 'down'}`]),
  ];
  return words.length === 0 ? 'from the front' : `turned ${words.join(', ')}`;
}
