/** The result of one comparison, or how far it is. */
import type { Metadata } from 'next';
import { notFound } from 'next/navigation';
import { WayBack } from '#app/_case/way-back.tsx';
import { WithheldNotice } from '#app/_complaint/withheld-notice.tsx';
import { VerdictMark } from '#app/_parts/marks.tsx';
import { Downloads } from '#app/_result/downloads.tsx';
import { PendingComparison } from '#app/_result/pending-comparison.tsx';
import css from '#app/_result/result.module.css';
import { type DeskView, ResultDesk } from '#app/_result/result-desk.tsx';
import { CautionSection, GateSection, PhotoSection, PooledResult, ResidualSection } from '#app/_result/result-facts.tsx';
import { jobNews } from '#app/_server/job-news.ts';
import { noteComparison } from '#app/_server/note-comparison.ts';
import { record } from '#app/_server/record.ts';
import { withheldAmong } from '#app/_server/withheld.ts';
import { byEvidence } from '#lib/report/by-evidence.ts';
import { headline } from '#lib/report/headline.ts';
import type { Comparison, View } from '#shared/comparison.ts';
import { FIELD_FILE_NAMES } from '#shared/field.ts';
import { idSchema } from '#shared/job.ts';
import { fixed } from '#shared/numbers.ts';
import { plateFileName } from '#shared/plates.ts';

type Props = { params: Promise<{ id: string }> };

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  const id = idSchema.safeParse((await params).id);
  const stored = id.success ? await record().comparison(id.data) : null;
  return { title: stored?.title ?? 'Comparison' };
}

export default async function ComparisonPage({ params }: Props) {
  const parsed = idSchema.safeParse((await params).id);
  if (!parsed.success) notFound();
  const id = parsed.data;
  const hidden = (await withheldAmong([id])).get(id);
  if (hidden) return <WithheldNotice {...hidden} />;
  const stored = await record().comparison(id);
  if (!stored) return <Unfinished id={id} />;
  await noteComparison('view', id);

  const { comparison, title, demo, createdAt } = stored;
  const files = await record().plateFiles(id);
  const views = viewsOf(comparison, files);
  return (
    <>
      <WayBack comparison={id} />
      <header className={css.head}>
        <p className="small soft">
          {title}
          {demo && <> (demo: an invented face with a known loss)</>}, measured <span className="number">{createdAt.slice(0, 10)}</span>
        </p>
        <h1>{headline(comparison)}</h1>
        {comparison.gate.comparable && <Trust comparison={comparison} />}
      </header>
      {!comparison.gate.comparable && (
        <div className={css.reasons}>
          <GateSection gate={comparison.gate} />
        </div>
      )}
      {views.length > 0 && (
        <ResultDesk
          id={id}
          views={views}
          zones={byEvidence(comparison.zones)}
          field={FIELD_FILE_NAMES.every((name) => files.includes(name))}
        />
      )}
      <div className={css.facts}>
        {comparison.pooled && <PooledResult pooled={comparison.pooled} />}
        {comparison.gate.comparable && <GateSection gate={comparison.gate} />}
        {comparison.registration.length > 0 && <ResidualSection registration={comparison.registration} light={comparison.light} />}
        <PhotoSection comparison={comparison} />
        <CautionSection cautions={comparison.cautions} />
        <Downloads id={id} files={files} views={views.map(({ view }) => view)} />
      </div>
    </>
  );
}

/** What a reader must know before any number: did the negative control hold, and how sure is a millimetre. */
function Trust({ comparison: { control, scale, registration, cautions } }: { comparison: Comparison }) {
  const worst = Math.max(0, ...registration.map((one) => one.residualMm));
  const early = cautions.find((caution) => caution.code === 'too-early' || caution.code === 'after-precedes-treatment');
  return (
    <>
      <dl className={css.trust}>
        <div className={control.trusted ? undefined : css.untrusted}>
          <dt>Negative control</dt>
          <dd>
            <VerdictMark verdict={control.trusted ? 'pass' : 'refuse'} /> <span>{control.statement}</span>
          </dd>
        </div>
        {scale && (
          <div>
            <dt>Scale</dt>
            <dd className="number">
              {fixed(scale.mmPerPx, 3)} mm per px &plusmn; {fixed(100 * scale.relU, 1)} %, {SCALE_WORDS[scale.source]}
            </dd>
          </div>
        )}
        {registration.length > 0 && (
          <div>
            <dt>Alignment left</dt>
            <dd className="number">{fixed(worst, 2)} mm</dd>
          </div>
        )}
      </dl>
      {early && <p className="note warn small">{early.text}</p>}
    </>
  );
}

const SCALE_WORDS = {
  iris: 'from the iris',
  interpupillary: 'from the measured pupil distance',
  marker: 'from the printed marker',
} as const;

async function Unfinished({ id }: { id: string }) {
  const [job, news] = await Promise.all([record().job(id), jobNews(id)]);
  if (!job || !news || job.request.kind !== 'compare') notFound();
  return (
    <>
      <WayBack comparison={id} />
      <PendingComparison title={job.request.title} news={news} />
    </>
  );
}

/** Views that have pictures on disk; `measured` when they have a plate. */
function viewsOf({ inputs }: Comparison, files: readonly string[]): DeskView[] {
  const views = [...new Set(inputs.map((input) => input.view))].filter(
    (view) => files.includes(plateFileName(view, 'beforeAsTaken')) || files.includes(plateFileName(view, 'info')),
  );
  const nameOf = (role: 'before' | 'after', view: View) => inputs.find((input) => input.role === role && input.view === view)?.name ?? '';
  return views.map((view) => ({
    view,
    measured: files.includes(plateFileName(view, 'info')),
    before: nameOf('before', view),
    after: nameOf('after', view),
  }));
}
