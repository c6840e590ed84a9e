/** Measures photographs already read, shows progress, writes the folder, prints the answer: what `compare` and `demo` share. */
import type { PhotoSource } from '#lib/compare/types.ts';
import type { NamedFile } from '#lib/record/types.ts';
import { comparisonTable } from '#lib/report/comparison-table.ts';
import type { Comparison } from '#shared/comparison.ts';
import { FIELD_FILES } from '#shared/field.ts';
import type { ScaleHintRequest } from '#shared/job.ts';
import type { SetUpProfile } from '#shared/set-up-profile.ts';
import type { ZoneId } from '#shared/zones.ts';
import { type ComparisonFiles, comparisonFiles } from '#workers/comparison-files.ts';
import { daysSinceTreatment } from '#workers/days-since.ts';
import { scaleHintOf } from '#workers/scale-hint.ts';
import { EXIT, type ExitCode, type World } from './command.ts';
import { exitOfFault } from './exit-of-fault.ts';
import { OUT_PICTURES, writeOutFolder } from './out-folder.ts';
import { showProgress } from './progress.ts';
import { tellRefusal } from './tell-refusal.ts';

export type Asked = Readonly<{
  before: readonly PhotoSource[];
  after: readonly PhotoSource[];
  title: string;
  /** Null to write no folder. */
  out: string | null;
  /** Writes report.pdf into the folder too. */
  pdf?: boolean;
  json: boolean;
  scale?: ScaleHintRequest | undefined;
  zones: readonly ZoneId[];
  treatedOn?: string | undefined;
  afterOn?: string | undefined;
  setUp?: SetUpProfile | undefined;
}>;

const MEASURING_SHARE = 0.9;

export async function compareFiles(asked: Asked, world: World): Promise<ExitCode> {
  const progress = showProgress(world.err, world);
  progress.step('Loading the models', 0);
  const measuring = await world.measuring();
  const days = asked.treatedOn
    ? daysSinceTreatment(asked.treatedOn, asked.afterOn, await Promise.all(asked.after.map(measuring.takenAt)))
    : undefined;
  const measured = await measuring.comparePair(asked.before, asked.after, {
    ...(asked.scale ? { scale: scaleHintOf(asked.scale) } : {}),
    ...(asked.zones.length > 0 ? { concernZones: asked.zones } : {}),
    ...(days === undefined ? {} : { daysSinceTreatment: days }),
    ...(asked.setUp ? { setUp: asked.setUp } : {}),
    onProgress: (step, done) => progress.step(step, MEASURING_SHARE * done),
  });
  if (!measured.ok) {
    progress.end();
    tellRefusal(world, asked.json, measured);
    return exitOfFault(measured.why);
  }
  const { comparison } = measured.value;
  if (asked.out !== null) {
    const files = await comparisonFiles(measuring, {
      pair: measured.value,
      sources: [...asked.before, ...asked.after],
      title: asked.title,
      onProgress: (step, done) => progress.step(step, MEASURING_SHARE + (1 - MEASURING_SHARE) * done),
    });
    const named = outFiles(comparison, files);
    if (asked.pdf) {
      const { printedComparison } = await import('#workers/printed-comparison.ts');
      const evidence = measured.value.field?.evidence ?? null;
      named.push({ name: 'report.pdf', bytes: await printedComparison({ comparison, evidence, views: files.views, title: asked.title }) });
    }
    await writeOutFolder(asked.out, named);
  }
  progress.end();
  if (asked.treatedOn && days === undefined)
    world.err(
      'The after photographs do not say when they were taken, so the time since the treatment is unknown. Give the day with --after-on.\n',
    );
  world.out(asked.json ? `${JSON.stringify(comparison, null, 2)}\n` : comparisonTable(comparison));
  if (asked.out !== null)
    (asked.json ? world.err : world.out)(
      `\nWritten to ${asked.out}: report.html, ${asked.pdf ? 'report.pdf, ' : ''}table.csv, comparison.json, evidence.json and the pictures.\n`,
    );
  return comparison.gate.comparable ? EXIT.done : EXIT.notComparable;
}

const PARTS: Readonly<Record<(typeof OUT_PICTURES)[number], keyof ComparisonFiles['views'][number]['pictures']>> = {
  'before-as-taken': 'beforeAsTaken',
  'after-as-taken': 'afterAsTaken',
  before: 'before',
  'after-aligned': 'afterAligned',
  'after-relit': 'afterRelit',
  'change-map': 'changePicture',
  'lightness-map': 'lightnessPicture',
};

/** The files of a comparison's folder. */
export function outFiles(comparison: Comparison, { views, report, table, field }: ComparisonFiles): NamedFile[] {
  const pictures = views.flatMap(({ view, pictures }) =>
    OUT_PICTURES.flatMap((name) => {
      const bytes = pictures[PARTS[name]];
      return bytes ? [{ name: `${view}.${name}.jpg`, bytes }] : [];
    }),
  );
  const json = new TextEncoder().encode(`${JSON.stringify(comparison, null, 2)}\n`);
  return [
    { name: 'comparison.json', bytes: json },
    ...field.filter(({ name }) => name === FIELD_FILES.evidence),
    { name: 'report.html', bytes: report },
    { name: 'table.csv', bytes: table },
    ...pictures,
  ];
}
