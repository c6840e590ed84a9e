/** What a key means while the pictures have the focus. Pure, so that the help and the tests can name every key. */
export type ViewerAct =
  | Readonly<{ act: 'zoom'; factor: number }>
  | Readonly<{ act: 'move'; dx: number; dy: number }>
  | Readonly<{ act: 'whole' | 'blink' | 'pick' }>
  | Readonly<{ act: 'zone'; by: 1 | -1 }>;

const ZOOM = 1.25;
/** CSS px that the picture moves at one press. */
const STEP_PX = 60;

const ACTS: ReadonlyMap<string, ViewerAct> = new Map<string, ViewerAct>([
  ['+', { act: 'zoom', factor: ZOOM }],
  ['=', { act: 'zoom', factor: ZOOM }],
  ['-', { act: 'zoom', factor: 1 / ZOOM }],
  ['0', { act: 'whole' }],
  ['ArrowLeft', { act: 'move', dx: STEP_PX, dy: 0 }],
  ['ArrowRight', { act: 'move', dx: -STEP_PX, dy: 0 }],
  ['ArrowUp', { act: 'move', dx: 0, dy: STEP_PX }],
  ['ArrowDown', { act: 'move', dx: 0, dy: -STEP_PX }],
  ['z', { act: 'zone', by: 1 }],
  ['Z', { act: 'zone', by: -1 }],
  ['Enter', { act: 'pick' }],
  ['b', { act: 'blink' }],
]);

/** Null for every other key, and for one pressed with Ctrl, Alt or Meta, which belong to the browser. */
export function viewerAct(event: Readonly<{ key: string; ctrlKey: boolean; altKey: boolean; metaKey: boolean }>): ViewerAct | null {
  return event.ctrlKey || event.altKey || event.metaKey ? null : (ACTS.get(event.key) ?? null);
}
