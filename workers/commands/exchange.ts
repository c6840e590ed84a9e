/** `ebbline exchange`: hands finished comparisons to hospital systems, as DICOM or as FHIR. */
import type { ExchangeFacts } from '#lib/report/exchange/facts.ts';
import type { Comparison } from '#shared/comparison.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, type ExitCode, UsageError, type World } from './command.ts';
import { checkDicomFolder, checkFhirFile, writeDicomFolder } from './exchange-out.ts';
import { writeFileWhole } from './out-file.ts';
import { readSources } from './read-files.ts';
import { dayValue } from './values.ts';

const help = `ebbline exchange - hand a comparison to a hospital system, as DICOM or as FHIR

  ebbline exchange COMPARISON_DIR --dicom DIR [options]
  ebbline exchange COMPARISON_DIR... --fhir FILE [options]

COMPARISON_DIR is a folder that ebbline compare wrote.

  --dicom DIR            writes each photograph as a VL Photographic Image, and report.dcm, a structured report
  --fhir FILE            writes a FHIR R4 bundle; several folders become one bundle
  --subject CODE         the subject's pseudonymous code; without it one is made from the photographs of the first visit
  --before-on DAY        day of the before photographs, such as 2026-09-01, if the camera did not record it
  --after-on DAY         day of the after photographs
  --reported-on DAY      day of the report; as usual that of the after photographs
  --photographs FILE...  the originals, to be handed on at their full size; otherwise the smaller pictures of the folder are
  --patient-name NAME    a name for DICOM, family^given; as usual none
  --embed                FHIR: puts the photographs themselves into the bundle, not only their size and hash
  --transaction          FHIR: a bundle that a server can take in, instead of a collection
  --force                replaces what an earlier exchange wrote

The same inputs give the same bytes. A face is recognised by anybody: without a name the files are not anonymous.
docs/exchange.md lists every code.

Exit codes: 0 written, 2 wrong usage, 3 nothing was measured, 4 unreadable input.

Examples
  ebbline exchange case-12 --dicom case-12-dicom --subject P-0815
  ebbline exchange case-12 --dicom case-12-dicom --photographs march/*.jpg june/*.jpg
  ebbline exchange case-12 case-13 --fhir cases.json --transaction
`;

export const exchange: Command = {
  name: 'exchange',
  summary: 'hand a comparison to a hospital system, as DICOM or as FHIR',
  help,
  run: async (args, world) => {
    const given = readArguments(args, {
      dicom: 'one',
      fhir: 'one',
      subject: 'one',
      'before-on': 'one',
      'after-on': 'one',
      'reported-on': 'one',
      photographs: 'list',
      'patient-name': 'one',
      embed: 'none',
      transaction: 'none',
      force: 'none',
    });
    const [dicom, fhir, force] = [given.one('dicom'), given.one('fhir'), given.has('force')];
    if (given.words.length === 0) throw new UsageError('Name the folder of a comparison.');
    if (dicom === undefined && fhir === undefined) throw new UsageError('Say what to write: --dicom DIR, --fhir FILE, or both.');
    if (dicom !== undefined && given.words.length > 1)
      throw new UsageError('--dicom takes one comparison at a time; --fhir takes several.');
    if (fhir === undefined && (given.has('embed') || given.has('transaction')))
      throw new UsageError('--embed and --transaction belong to --fhir.');
    const day = (option: string): string | undefined => (given.has(option) ? dayValue(`--${option}`, given.one(option)!) : undefined);
    const facts: ExchangeFacts = {
      subject: subjectValue(given.one('subject')),
      patientName: nameValue(given.one('patient-name')),
      beforeOn: day('before-on'),
      afterOn: day('after-on'),
      reportedOn: day('reported-on'),
    };
    if (dicom !== undefined) await checkDicomFolder(dicom, force);
    if (fhir !== undefined) await checkFhirFile(fhir, force);

    const { readComparison, readPhotographs, strayOriginal } = await import('./read-comparison.ts');
    const originals = await readSources(given.list('photographs'));
    if (!originals.ok) return unreadable(world, originals.detail);
    const comparisons: Comparison[] = [];
    for (const dir of given.words) {
      const comparison = await readComparison(dir);
      if (!comparison.ok) return unreadable(world, comparison.detail);
      comparisons.push(comparison.value);
    }
    const stray = strayOriginal(comparisons, originals.value);
    if (stray) throw new UsageError(`${stray.name} is none of the photographs that were compared: its bytes differ. Name the very files.`);
    const items = [];
    for (const [k, comparison] of comparisons.entries()) {
      const photographs = await readPhotographs(given.words[k], comparison, originals.value);
      if (!photographs.ok) return unreadable(world, photographs.detail);
      items.push({ comparison, facts, options: { photographs: photographs.value, embedPhotographs: given.has('embed') } });
    }

    const exits: ExitCode[] = [];
    if (dicom !== undefined) {
      const { dicomOfComparison } = await import('#lib/report/dicom/dicom-of-comparison.ts');
      const files = dicomOfComparison(items[0].comparison, items[0].options.photographs, facts);
      if (files.ok) {
        await writeDicomFolder(dicom, files.value, force);
        world.out(`Written to ${dicom}: ${counted(files.value.length - 1, 'photograph')} and report.dcm.\n`);
      } else {
        if (files.why === 'no-day') throw new UsageError(`${files.detail.replace(/\.$/, '')} with --after-on.`);
        if (files.why === 'bad-code') throw new UsageError(files.detail);
        world.err(`${files.detail}\n`);
        exits.push(files.why === 'not-comparable' ? EXIT.notComparable : EXIT.unreadable);
      }
    }
    if (fhir !== undefined) {
      const { fhirOfSeries } = await import('#lib/report/fhir/fhir-of-comparison.ts');
      const bundle = fhirOfSeries(items, given.has('transaction') ? 'transaction' : 'collection');
      await writeFileWhole(fhir, `${JSON.stringify(bundle, null, 1)}\n`);
      world.out(`Written to ${fhir}: ${counted(bundle.entry.length, 'resource')} of ${counted(items.length, 'comparison')}.\n`);
      if (items.some(({ comparison }) => !comparison.gate.comparable)) exits.push(EXIT.notComparable);
    }
    return exits[0] ?? EXIT.done;
  },
};

const LONGEST_CODE = 64;

/** What both standards can hold as an identifier. */
function subjectValue(code: string | undefined): string | undefined {
  if (code === undefined) return undefined;
  if (!/^[^\\\p{C}]+$/u.test(code) || code.trim() !== code || code.length > LONGEST_CODE)
    throw new UsageError(`--subject "${code}" is no code: it has 1 to ${LONGEST_CODE} characters, no backslash, and no space at its ends.`);
  return code;
}

/** A person's name of DICOM, PS3.5 table 6.2-1. */
function nameValue(name: string | undefined): string | undefined {
  if (name !== undefined && (!/^[^\\=\p{C}]+$/u.test(name) || name.length > LONGEST_CODE))
    throw new UsageError(`--patient-name "${name}" cannot be written. Write family^given, at most ${LONGEST_CODE} characters.`);
  return name;
}

function unreadable(world: World, detail: string): ExitCode {
  world.err(`${detail}\n`);
  return EXIT.unreadable;
}

const counted = (count: number, what: string): string => `${count} ${what}${count === 1 ? '' : 's'}`;
