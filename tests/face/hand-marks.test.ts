import { readFileSync, writeFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { ENGINE_VERSION, openEngine } from '#lib/face/engine.ts';
import { averagedLandmarks } from '#lib/face/landmarks.ts';
import { MARKS, type Mark, offsetOf } from '#tests/face/hand-marks.ts';
import { handMarks, linear, NEEDS_FACES, photographs, picture } from '#tests/face/photographs.ts';

const SETS = ['canada', 'composite'] as const;
const paths = SETS.flatMap((set) => photographs(set).map((path) => ({ set, path })));
/** Long side of what is measured: as developed for a face that fills the picture. */
const LONGEST_PX = 1000;

type Row = Readonly<{ set: string; mark: Mark /** per cent of the hand-marked pupil distance */; dx: number; dy: number; error: number }>;
const rows: Row[] = [];

beforeAll(async () => {
  const engine = await openEngine();
  for (const { set, path } of paths) {
    const shown = await picture(path, LONGEST_PX);
    const factor = shown.width / (await picture(path)).width;
    const hand = handMarks(path).map(([x, y]) => [x * factor, y * factor] as const);
    const apart = Math.hypot(hand[1][0] - hand[0][0], hand[1][1] - hand[0][1]);
    const averaged = averagedLandmarks(engine, linear(shown), engine.detect(shown)[0].landmarks);
    if (!averaged.ok) throw new Error(`${path}: ${averaged.detail}`);
    const { landmarks } = averaged.value;
    for (const mark of MARKS) {
      const [dx, dy] = offsetOf(mark, [landmarks[3 * mark.landmark], landmarks[3 * mark.landmark + 1]], hand);
      rows.push({ set, mark, dx: (100 * dx) / apart, dy: (100 * dy) / apart, error: (100 * Math.hypot(dx, dy)) / apart });
    }
  }
});

const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;
const of = (part: Mark['part']): Row[] => rows.filter((row) => row.mark.part === part);

describe('oracle: hand-placed points on 12 + 10 photographs (DeBruine & Jones, figshare 4220517 and 4055130)', () => {
  it.skipIf(!paths.length)(`lie under 4 % of the pupil distance from the landmarks, on average over points and faces${NEEDS_FACES}`, () => {
    expect(rows).toHaveLength(22 * MARKS.length);
    expect(mean(rows.map((row) => row.error))).toBeLessThan(4);
    for (const part of ['pupils', 'eye corners', 'lids', 'nose', 'lip border'] as const)
      expect(mean(of(part).map((row) => row.error)), part).toBeLessThan(4);
    if (process.env.EBBLINE_WRITE_DOCS) writeFileSync('docs/landmarks.md', report());
  });

  it.skipIf(!paths.length)(`are what docs/landmarks.md says${NEEDS_FACES}`, () => {
    const told = /Mean over all points and faces ([\d.]+) %/.exec(readFileSync('docs/landmarks.md', 'utf8'));
    expect(Number(told?.[1])).toBeCloseTo(mean(rows.map((row) => row.error)), 1);
  });

  it.skipIf(!paths.length)(`agree with the pixel frame: the whole face lies neither to the side nor above or below${NEEDS_FACES}`, () => {
    // The jaw is left out: there the mesh ends short of the contour, which is another matter.
    const rest = rows.filter((row) => row.mark.part !== 'jaw');
    expect(Math.abs(mean(rest.map((row) => row.dx)))).toBeLessThan(0.3);
    expect(Math.abs(mean(rest.map((row) => row.dy)))).toBeLessThan(0.5);
  });
});

/** One line per name; points of a line count together. */
function table(): string {
  const names = [...new Set(MARKS.map((mark) => `${mark.part}|${mark.name}`))];
  const cell = (value: number): string => value.toFixed(1).padStart(5);
  const lines = names.map((key) => {
    const [part, name] = key.split('|');
    const own = rows.filter((row) => row.mark.part === part && row.mark.name === name);
    const landmarks = [...new Set(own.map((row) => row.mark.landmark))].join(' ');
    const errors = own.map((row) => row.error).sort((a, b) => a - b);
    const bySet = SETS.map((set) => cell(mean(own.filter((row) => row.set === set).map((row) => row.error))));
    const bias = [cell(mean(own.map((row) => row.dx))), cell(mean(own.map((row) => row.dy)))];
    return [part, name, landmarks, cell(mean(errors)), cell(errors[Math.floor(0.9 * errors.length)]), ...bySet, ...bias].join(' | ');
  });
  const parts = [...new Set(MARKS.map((mark) => mark.part))].map((part) => `${part} ${mean(of(part).map((row) => row.error)).toFixed(1)}`);
  return [
    '| part | point | landmark | mean | 90th pct | canada | composite | dx | dy |',
    '| --- | --- | --- | --: | --: | --: | --: | --: | --: |',
    ...lines.map((line) => `| ${line} |`),
    '',
    `Mean over all points and faces ${mean(rows.map((row) => row.error)).toFixed(2)} %; by part: ${parts.join(', ')}.`,
  ].join('\n');
}

function report(): string {
  return `# How well landmarks sit

Written by \`EBBLINE_WRITE_DOCS=1 npx vitest run --config tests/vitest.config.ts tests/face/hand-marks.test.ts\`. Do not edit by hand.

## Against hand-placed points

Landmarks (${ENGINE_VERSION}, mean of eight shifted copies) against the 189-point templates of 12 photographs
(DeBruine & Jones 2017, Young Adult White Faces, figshare 4220517, CC-BY) and 10 composite faces of several ancestries
(DeBruine 2016, Young adult composite faces, figshare 4055130, CC-BY). Distances in per cent of the hand-marked pupil
distance (1 % is about 0.63 mm); dx to the right of the picture, dy down, landmark minus hand. Left and right are the
subject's. "To the line" is the distance from the landmark to the hand-drawn line.

${table()}

What to take from it: eyes, line of closure and mouth corners sit to about a millimetre; the lids' middle is a matter of
definition (the hand marks the highest point, the mesh a fixed share of the lid); the chin's lowest point sits high, most
where the chin is long. Landmarks alone do not carry a claim in tenths of a millimetre: alignment refines them by the picture.

## Where the pixel frame comes from

The engine's own answers lie half a pixel of the picture to the left of and above our frame (centre of the first pixel at
0.5, 0.5), and 0.32 px of its 192 px input to the right and below. Both are taken out in \`lib/face/raw-landmarks.ts\`. The first was found
by looking at the same faces at 40 to 220 px between the pupils, the second by looking at 41 photographs and their mirror images;
the table's dx and dy, from people's hands, are an independent check of both.

## How far they wander

On seven faces drawn anew eight times with other framing (size by up to 15 %, turn by up to 4 degrees), exposure (by up to
28 %), white balance (5 %), focus and noise, one call scatters by 0.33 to 0.63 % of the pupil distance (root mean square of one
coordinate over all 478 landmarks) as it comes; the mean of eight copies by 0.06 to 0.13 %, and by 0.18 % for
one of them in another draw. \`tests/face/landmarks.test.ts\` repeats this on a smaller scale and holds the stated uncertainty to it.

What pays, on five of those faces: one copy with the face upright in the middle 0.190 %, four copies 0.108 %, eight 0.088 %,
sixteen 0.077 %; eight without mirrored ones 0.101 %; eight with 110 px between the pupils instead of 60, 0.089 %, so the
larger picture gains nothing: the model itself sees about 52 px.

Light from another side, another pose or another expression move landmarks more than this; they are not in these figures.
`;
}
