'use client';
/**
 * The zones, the surest evidence first. A row opens to everything measured in it. The row that has the pointer or the
 * focus is outlined in the pictures; arrow keys go from row to row.
 */
import { Fragment, type KeyboardEvent, type RefObject, useMemo } from 'react';
import { FindingMark } from '#app/_parts/marks.tsx';
import { METRIC_IDS, METRICS, type MetricId, type ZoneResult } from '#shared/comparison.ts';
import type { Evidence } from '#shared/field.ts';
import { findingPhrase } from '#shared/finding-words.ts';
import { METRIC_DECIMALS, metricText } from '#shared/numbers.ts';
import { type ZoneId, zoneLabel } from '#shared/zones.ts';
import { axisFor } from './axis.ts';
import { EvidenceFigure } from './evidence-figure.tsx';
import { findingSign } from './finding-sign.ts';
import { AxisPlot, IntervalPlot } from './interval-plot.tsx';
import { MetricTable } from './metric-table.tsx';
import css from './result.module.css';

type Props = {
  /** In the order they are shown. */
  zones: readonly ZoneResult[];
  metric: MetricId;
  onMetric: (metric: MetricId) => void;
  marked: ZoneId | null;
  opened: ReadonlySet<ZoneId>;
  evidence: Evidence | null;
  onMark: (zone: ZoneId | null) => void;
  onOpen: (zone: ZoneId) => void;
  onShow: (zone: ZoneId) => void;
  tableRef: RefObject<HTMLTableElement | null>;
};

export function ZoneTable({ zones, metric, onMetric, marked, opened, evidence, onMark, onOpen, onShow, tableRef }: Props) {
  const axis = useMemo(() => axisFor(metric, zones), [metric, zones]);
  const measured = METRIC_IDS.filter((id) => zones.some((zone) => zone.metrics[id]));
  return (
    <div className={css.tableBox}>
      <table className={css.zones} ref={tableRef} onKeyDown={stepRows} onPointerLeave={() => onMark(null)}>
        <caption>
          <span className={css.captionWords}>Zones, strongest evidence first</span>
          <label className={css.metricChoice}>
            <span className="unseen">Metric shown</span>
            <select value={metric} onChange={(event) => onMetric(event.target.value as MetricId)}>
              {measured.map((id) => (
                <option key={id} value={id}>
                  {METRICS[id].label}
                </option>
              ))}
            </select>
          </label>
        </caption>
        <thead>
          <tr>
            <th scope="col">Zone</th>
            <th scope="col" className="number">
              Change
            </th>
            <th scope="col" className={css.plotHead}>
              <span className="unseen">95 % interval</span>
              <AxisPlot axis={axis} decimals={METRIC_DECIMALS[metric]} />
            </th>
            <th scope="col">Finding</th>
          </tr>
        </thead>
        <tbody>
          {zones.map((zone) => {
            const result = zone.metrics[metric];
            const open = opened.has(zone.zone);
            return (
              <Fragment key={zone.zone}>
                <tr
                  className={marked === zone.zone ? css.marked : undefined}
                  data-finding={zone.finding}
                  onPointerEnter={() => onMark(zone.zone)}
                >
                  <th scope="row">
                    <button
                      type="button"
                      className={css.zoneButton}
                      aria-expanded={open}
                      data-zone={zone.zone}
                      onClick={() => onOpen(zone.zone)}
                      onFocus={() => onMark(zone.zone)}
                    >
                      <svg className={css.arrow} width="9" height="9" viewBox="0 0 9 9" aria-hidden="true" focusable="false">
                        <path d="M2 1l5 3.5L2 8z" fill="currentColor" />
                      </svg>
                      <span>
                        {zoneLabel(zone.zone)}
                        {zone.reference && <span className={css.reference}> reference</span>}
                      </span>
                    </button>
                  </th>
                  <td className="number">{result ? metricText(metric, result.value) : <span className="soft">not measured</span>}</td>
                  <td className={css.plotCell}>{result && <IntervalPlot axis={axis} {...result} />}</td>
                  <td>
                    <span className={css.finding}>
                      <FindingMark finding={zone.finding} sign={findingSign(zone)} />
                      <span>{findingPhrase(zone)}</span>
                    </span>
                  </td>
                </tr>
                {open && (
                  <tr className={css.detail}>
                    <td colSpan={4}>
                      <p>{zone.statement}</p>
                      {zone.whyNot && !zone.statement.includes(zone.whyNot) && <p>{zone.whyNot}</p>}
                      <p className="soft number">
                        {Math.round(zone.areaMm2)} mm&sup2;; {Math.round(100 * zone.seen)} % of it seen; light model trusted in{' '}
                        {Math.round(100 * zone.trusted)} % of that.
                      </p>
                      <MetricTable zone={zone} />
                      {evidenceOf(evidence, zone.zone)}
                      <button type="button" className="small no-print" onClick={() => onShow(zone.zone)}>
                        Show in the pictures
                      </button>
                    </td>
                  </tr>
                )}
              </Fragment>
            );
          })}
        </tbody>
      </table>
      <p className={`${css.reading} small soft`}>
        Line and ends: 95 % interval. Grey band: smallest detectable change. A full diamond lies beyond error, an open ring within it.
      </p>
    </div>
  );
}

function evidenceOf(evidence: Evidence | null, zone: ZoneId) {
  const one = evidence?.zones.find((candidate) => candidate.zone === zone);
  return one ? <EvidenceFigure evidence={one} /> : null;
}

/** Up and down go from row to row, Home and End to the first and last. */
function stepRows(event: KeyboardEvent<HTMLTableElement>): void {
  const here = event.target instanceof HTMLElement ? event.target.closest('button[data-zone]') : null;
  if (!here) return;
  const rows = [...event.currentTarget.querySelectorAll<HTMLButtonElement>('button[data-zone]')];
  const at = rows.indexOf(here as HTMLButtonElement);
  const goal = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: rows.length - 1 }[event.key];
  if (goal === undefined || !rows[goal]) return;
  event.preventDefault();
  rows[goal].focus();
}
