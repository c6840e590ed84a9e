/** `ebbline compare`: measures one pair of visits from files. */
import { noWords, readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { checkOutFolder } from './out-folder.ts';
import { readSources } from './read-files.ts';
import { setUpValue } from './set-up-value.ts';
import { tellRefusal } from './tell-refusal.ts';
import { dayValue, scaleValue, zonesValue } from './values.ts';

const MOST_VIEWS = 5;

const help = `ebbline compare - measure what changed between two visits

  ebbline compare --before FILE... --after FILE... --out DIR [options]

One photograph per view and visit (front, oblique, side); views are recognised by themselves.

  --before FILE...     photographs of the first visit: JPEG, PNG, WebP, TIFF, HEIC or DICOM
  --after FILE...      photographs of the second visit
  --out DIR            writes report.html, table.csv, comparison.json, evidence.json and the pictures there
  --zones ZONE...      zones that were treated or complained of; they are tested together, too
  --scale SCALE        iris (as usual), pupils:63.5 (mm between the pupils) or marker:20 (mm of a marker's side)
  --treated-on DAY     day of the treatment, such as 2026-09-01
  --after-on DAY       day of the after photographs, if the camera did not record it
  --set-up NAME|FILE   takes the error limits from this profile of your own set-up; ebbline repeat makes one
  --data DIR           the record that keeps profiles; as usual EBBLINE_HOME or ~/.local/share/ebbline
  --title TEXT         what the report is called
  --pdf                writes report.pdf as well
  --json               prints the comparison, or { ok: false, why, detail }, as JSON and nothing else; --out may then be left out

Exit codes: 0 measured, 2 wrong usage, 3 not comparable (the reasons are printed), 4 unreadable input.

Examples
  ebbline compare --before march/front.jpg --after june/front.jpg --out case-12
  ebbline compare --before march/*.jpg --after june/*.jpg --out case-12 --scale pupils:62 --zones midface-left midface-right
  ebbline compare --before a.heic --after b.heic --json > comparison.json
  ebbline compare --before a.jpg --after b.jpg --out case-12 --set-up "Room 2"
`;

export const compare: Command = {
  name: 'compare',
  summary: 'measure what changed between two visits',
  help,
  run: async (args, world) => {
    const given = readArguments(args, {
      before: 'list',
      after: 'list',
      out: 'one',
      zones: 'list',
      scale: 'one',
      'treated-on': 'one',
      'after-on': 'one',
      'set-up': 'one',
      data: 'one',
      title: 'one',
      pdf: 'none',
      json: 'none',
    });
    noWords(given);
    for (const role of ['before', 'after'] as const) {
      if (given.list(role).length === 0)
        throw new UsageError(`Name the photographs of the ${role === 'before' ? 'first' : 'second'} visit with --${role}.`);
      if (given.list(role).length > MOST_VIEWS)
        throw new UsageError(
          `--${role} names ${given.list(role).length} photographs; there are ${MOST_VIEWS} views, and one photograph of each is compared.`,
        );
    }
    const out = given.one('out') ?? null;
    const json = given.has('json');
    const pdf = given.has('pdf');
    if (pdf && out === null) throw new UsageError('Say where the PDF goes with --out DIR.');
    if (out === null && !json) throw new UsageError('Say where the results go with --out DIR, or print them with --json.');
    const scale = given.has('scale') ? scaleValue(given.one('scale')!) : undefined;
    const zones = zonesValue(given.list('zones'));
    const treatedOn = given.has('treated-on') ? dayValue('--treated-on', given.one('treated-on')!) : undefined;
    const afterOn = given.has('after-on') ? dayValue('--after-on', given.one('after-on')!) : undefined;
    if (out !== null) await checkOutFolder(out);
    const setUp = given.has('set-up') ? await setUpValue(given.one('set-up')!, given.one('data'), world.env) : undefined;

    const before = await readSources(given.list('before'));
    const after = before.ok ? await readSources(given.list('after')) : before;
    const unread = !before.ok ? before : !after.ok ? after : null;
    if (unread) tellRefusal(world, json, unread);
    if (!before.ok || !after.ok) return EXIT.unreadable;
    return (await import('./compare-files.ts')).compareFiles(
      {
        before: before.value,
        after: after.value,
        title: given.one('title') ?? 'Comparison',
        out,
        pdf,
        json,
        scale,
        zones,
        treatedOn,
        afterOn,
        setUp,
      },
      world,
    );
  },
};
