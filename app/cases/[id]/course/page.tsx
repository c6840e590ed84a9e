/** The course of one zone over the visits of a case: crops side by side, and the measured change against days. */
import type { Metadata } from 'next';
import { notFound } from 'next/navigation';
import css from '#app/_case/case.module.css';
import { COURSE_METRICS, courseChart, dayZeroWords, recoverySentence } from '#app/_case/course-chart.ts';
import { CourseTable } from '#app/_case/course-table.tsx';
import { CropStrip } from '#app/_case/crop-strip.tsx';
import { MeasureMissing } from '#app/_case/measure-missing.tsx';
import { zoneCrops } from '#app/_case/zone-crops.ts';
import { ZoneField } from '#app/_case/zone-field.tsx';
import { CaseTrail } from '#app/_parts/case-trail.tsx';
import { ScrollRegion } from '#app/_parts/scroll-region.tsx';
import { book } from '#app/_server/actor.ts';
import { idsOf } from '#app/_server/case-context.ts';
import { knownComparison } from '#app/_server/comparison-cache.ts';
import { firstLook } from '#app/_server/first-look.ts';
import { byEvidence } from '#lib/report/by-evidence.ts';
import { courseSvg } from '#lib/report/course-svg.ts';
import { type CourseVisit, courseOf } from '#lib/series/course.ts';
import type { CaseFile, Visit } from '#shared/case.ts';
import type { Comparison } from '#shared/comparison.ts';
import { WITHHELD_WORDS, withheldBy } from '#shared/withheld.ts';
import { ZONE_IDS, type ZoneId, zoneLabel } from '#shared/zones.ts';

export const metadata: Metadata = { title: 'Course of a zone' };

type Props = { params: Promise<{ id: string }>; searchParams: Promise<{ zone?: string | string[] }> };

export default async function CoursePage({ params, searchParams }: Props) {
  const ids = await idsOf(params, 'id');
  const cases = await book();
  const file = ids ? await cases.caseFile(ids.id) : null;
  if (!file) notFound();
  const { patientCase, visits, treatments } = file;
  const baseline = visits.find((visit) => visit.baseline);
  const { facts } = await cases.settings();
  if (await firstLook(`course:${patientCase.id}`))
    await cases.note({ action: 'view', what: 'course', id: patientCase.id, case: patientCase.id, facts: {} });
  if (!baseline)
    return (
      <>
        <CaseTrail patientCase={patientCase} here="Course of a zone" />
        <h1>Course of a zone</h1>
        <p>No visit is the baseline. Make the visit before the treatment the baseline first.</p>
      </>
    );

  const { compared, withheld } = await comparedWith(baseline, file);
  const results = compared.flatMap(({ comparison }) => comparison?.result ?? []);
  const asked = (await searchParams).zone;
  const zone = ZONE_IDS.find((one) => one === asked) ?? strongestZone(results);
  const course = courseOf({
    zone,
    baseline,
    visits: compared.filter(({ id }) => !withheld.includes(id)),
    treatments,
    waterLossDays: facts.waterLossDays,
  });
  const label = zoneLabel(zone);
  const crops = await zoneCrops(
    zone,
    course.points.flatMap(({ comparison, state }) => (comparison && state !== 'pending' ? [comparison] : [])),
  );
  const pending = course.points.flatMap(({ state, comparison }) => (state === 'pending' && comparison ? [comparison] : []));
  return (
    <>
      <CaseTrail patientCase={patientCase} here="Course of a zone" />
      <h1>{label}: course</h1>
      <ZoneField zone={zone} zones={zonesOf(results)} />
      {withheld.length > 0 && <p className="note small">{WITHHELD_WORDS}</p>}
      <MeasureMissing caseId={patientCase.id} missing={course.points.filter(({ state }) => state === 'missing').length} pending={pending} />
      <section className={css.section} aria-labelledby="crops">
        <h2 id="crops">Over all visits</h2>
        <CropStrip course={course} zone={label} crops={crops} />
        {crops.length > 0 && <p className="small soft">Follow-ups are in the pose and under the light of the baseline.</p>}
      </section>
      <section className={css.section} aria-labelledby="chart">
        <h2 id="chart">Measured change</h2>
        <figure className={css.chart}>
          <ScrollRegion label="Chart of the course">
            {/* biome-ignore lint/security/noDangerouslySetInnerHtml: our own drawing, its texts escaped by lib/report */}
            <div dangerouslySetInnerHTML={{ __html: courseSvg(courseChart(course)) }} />
          </ScrollRegion>
        </figure>
        {COURSE_METRICS.map((metric) => (
          <p key={metric} className="small">
            {recoverySentence(course, metric)}
          </p>
        ))}
        {course.mixedVersions && (
          <p className="note warn small">
            These results were made by different versions of the program, so steps between them may come from the program. On the page of
            the case each can be measured anew.
          </p>
        )}
        <CourseTable course={course} dayWords={dayZeroWords(course)} />
        <p className="small soft">
          All follow-ups are compared with the same baseline photographs and share their error, so the whole course may lie too high or too
          low together; the interval of the plateau counts that in. Early days: hollowing from lost water is expected for{' '}
          {facts.waterLossDays} days after gel was dissolved (common practice, no published source).
        </p>
      </section>
    </>
  );
}

/** Later visits with their newest comparison with the baseline; and those that an open complaint withholds. */
async function comparedWith(
  baseline: Visit,
  { visits, comparisons, complaints }: CaseFile,
): Promise<{ compared: CourseVisit[]; withheld: string[] }> {
  const withheld: string[] = [];
  const compared = await Promise.all(
    visits
      .filter(({ id, on }) => id !== baseline.id && on >= baseline.on)
      .map(async ({ id, on, label }): Promise<CourseVisit> => {
        const all = comparisons.filter(({ beforeVisit, afterVisit }) => beforeVisit === baseline.id && afterVisit === id);
        const hidden = withheldBy({ beforeVisit: baseline.id, afterVisit: id }, complaints) !== null;
        if (hidden) withheld.push(id);
        if (hidden || all.length === 0) return { id, on, label, comparison: null };
        const results = await Promise.all(
          all.map(async (one) => ({ id: one.id, result: (await knownComparison(one.id))?.comparison ?? null })),
        );
        return { id, on, label, comparison: results.findLast(({ result }) => result !== null) ?? results.at(-1)! };
      }),
  );
  return { compared, withheld };
}

/** The zone with the strongest finding in any of them; reference zones last. */
function strongestZone(results: readonly Comparison[]): ZoneId {
  const all = byEvidence(results.flatMap(({ zones }) => zones));
  return (all.find(({ reference, assessable }) => assessable && !reference) ?? all[0])?.zone ?? 'midface-left';
}

/** Zones with any result, strongest finding first. */
function zonesOf(results: readonly Comparison[]): ZoneId[] {
  const assessed = results.flatMap(({ zones }) => zones.filter(({ assessable }) => assessable));
  return [...new Set(byEvidence(assessed).map(({ zone }) => zone))];
}
