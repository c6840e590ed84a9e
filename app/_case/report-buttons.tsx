'use client';
/**
 * The reports of one comparison or complaint: every version with its state, and the buttons that make the next draft. `about` is the
 * comparison's or the complaint's id; `reports` are those of the whole case.
 */
import Link from 'next/link';
import { useRouter } from 'next/navigation';
import { useId, useState } from 'react';
import { ask } from '#app/_parts/ask.ts';
import { REPORT_KIND_WORDS } from '#lib/report/print/report-names.ts';
import { type CaseReport, caseReportSchema, type ReportKind } from '#shared/case.ts';
import css from './report-buttons.module.css';

type Props = {
  caseId: string;
  /** Those that can be made of it, such as `['comparison', 'patient-sheet']`. */
  kinds: readonly ReportKind[];
  about: string;
  reports: readonly CaseReport[];
  /** Whether the case has a name that could be printed. */
  hasName: boolean;
};

export function ReportButtons({ caseId, kinds, about, reports, hasName }: Props) {
  return (
    <div className={css.kinds}>
      {kinds.map((kind) => (
        <ReportVersions
          key={kind}
          caseId={caseId}
          kind={kind}
          about={about}
          hasName={hasName}
          versions={reports.filter((report) => report.kind === kind && report.about === about).sort((a, b) => b.version - a.version)}
        />
      ))}
    </div>
  );
}

function ReportVersions({
  caseId,
  kind,
  about,
  versions,
  hasName,
}: Omit<Props, 'kinds' | 'reports'> & { kind: ReportKind; versions: readonly CaseReport[] }) {
  const id = useId();
  const router = useRouter();
  const [withName, setWithName] = useState(false);
  const [busy, setBusy] = useState(false);
  const [said, setSaid] = useState<{ text: string; fault: boolean }>({ text: '', fault: false });
  const newest = versions[0];
  const words = REPORT_KIND_WORDS[kind];

  const make = async () => {
    setBusy(true);
    const made = await ask(caseReportSchema, `/api/cases/${caseId}/reports`, { method: 'POST', body: { kind, about, withName } });
    setBusy(false);
    setSaid(
      made.ok
        ? { text: `${words}: the draft of version ${made.value.version} is made. Open it, read it, then sign it.`, fault: false }
        : { text: `${made.message} ${made.advice}`, fault: true },
    );
    if (made.ok) router.refresh();
  };

  return (
    <section aria-labelledby={`${id}-name`}>
      <h3 id={`${id}-name`}>{words}</h3>
      {versions.length > 0 && (
        <ul className={css.versions}>
          {versions.map((report) => (
            <Version key={report.id} caseId={caseId} report={report} />
          ))}
        </ul>
      )}
      <p className={css.make}>
        <button type="button" onClick={() => void make()} disabled={busy} aria-describedby={`${id}-said`}>
          {busy ? 'Writing\u2026' : !newest ? 'Make the draft' : newest.state === 'draft' ? 'Make the draft anew' : 'Make the next version'}
          <span className="unseen">: {words}</span>
        </button>
        {hasName && (
          <label className="tick small">
            <input type="checkbox" checked={withName} onChange={(event) => setWithName(event.target.checked)} />
            with the name
          </label>
        )}
      </p>
      <p id={`${id}-said`} role="status" className={said.fault ? 'note stop small' : 'small soft'}>
        {said.text}
      </p>
    </section>
  );
}

function Version({ caseId, report }: { caseId: string; report: CaseReport }) {
  const { id, version, state, signed, createdAt } = report;
  const file = `/api/cases/${caseId}/reports/${id}`;
  const name = `${REPORT_KIND_WORDS[report.kind]}, version ${version}`;
  return (
    <li>
      <span>
        <strong>Version {version}</strong>,{' '}
        {signed ? `signed by ${signed.by}, ${moment(signed.at)}` : `draft of ${moment(createdAt)}, not signed`}
      </span>
      <span className={css.links}>
        <a href={file} target="_blank" rel="noreferrer" aria-label={`Open ${name}`}>
          Open
        </a>
        <a href={`${file}?save`} download aria-label={`Save ${name}`}>
          Save
        </a>
        <Link href={`/cases/${caseId}/reports/${id}`} aria-label={`${state === 'draft' ? 'Sign' : 'Facts of'} ${name}`}>
          {state === 'draft' ? 'Sign' : 'Facts'}
        </Link>
      </span>
    </li>
  );
}

const moment = (at: string): string => `${at.slice(0, 10)} ${at.slice(11, 16)} UTC`;
