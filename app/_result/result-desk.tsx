'use client';
/** Pictures and table together: what is marked in one is marked in the other. */
import { useCallback, useRef, useState } from 'react';
import { viewLabel } from '#app/_parts/check-words.ts';
import type { MetricId, View, ZoneResult } from '#shared/comparison.ts';
import type { ZoneId } from '#shared/zones.ts';
import css from './result.module.css';
import { SurfaceView } from './surface-view.tsx';
import { useEvidence } from './use-field.ts';
import { Viewer, type ViewerHandle } from './viewer.tsx';
import { ZoneTable } from './zone-table.tsx';

export type DeskView = Readonly<{ view: View; measured: boolean; before: string; after: string }>;

type Props = {
  id: string;
  /** At least one. */
  views: readonly DeskView[];
  /** In the order of the table; empty when the pair was not comparable. */
  zones: readonly ZoneResult[];
  /** Whether the displacement field was kept: surface and evidence. */
  field: boolean;
};

export function ResultDesk({ id, views, zones, field }: Props) {
  const [view, setView] = useState<View>(views[0]!.view);
  const [turnable, setTurnable] = useState(false);
  const evidence = useEvidence(id, field);
  const [metric, setMetric] = useState<MetricId>('volumeMl');
  const [marked, setMarked] = useState<ZoneId | null>(null);
  const [opened, setOpened] = useState<ReadonlySet<ZoneId>>(new Set());
  const viewer = useRef<ViewerHandle>(null);
  const table = useRef<HTMLTableElement>(null);
  const shown = views.find((one) => one.view === view)!;

  const open = useCallback((zone: ZoneId) => {
    setOpened((was) => {
      const next = new Set(was);
      if (!next.delete(zone)) next.add(zone);
      return next;
    });
  }, []);
  const pick = useCallback((zone: ZoneId) => {
    setOpened((was) => new Set(was).add(zone));
    const row = table.current?.querySelector<HTMLButtonElement>(`button[data-zone="${zone}"]`);
    row?.focus();
  }, []);

  return (
    <div className={zones.length > 0 ? css.desk : undefined}>
      <div className={css.viewerColumn}>
        {field && (
          <fieldset className={`${css.choice} no-print`}>
            <legend>Shown as</legend>
            {[false, true].map((one) => (
              <label key={String(one)} className={css.pill}>
                <input type="radio" name="shown-as" checked={turnable === one} onChange={() => setTurnable(one)} />
                {one ? 'Turnable surface' : 'Photographs'}
              </label>
            ))}
          </fieldset>
        )}
        {views.length > 1 && !turnable && (
          <fieldset className={`${css.choice} no-print`}>
            <legend>View</legend>
            {views.map((one) => (
              <label key={one.view} className={css.pill}>
                <input type="radio" name="view" checked={one.view === view} onChange={() => setView(one.view)} />
                {viewLabel(one.view)}
              </label>
            ))}
          </fieldset>
        )}
        {turnable ? (
          <SurfaceView id={id} marked={marked} onMark={setMarked} onPick={pick} handle={viewer} />
        ) : (
          <Viewer
            key={shown.view}
            id={id}
            view={shown.view}
            measured={shown.measured}
            names={shown}
            zones={zones}
            marked={marked}
            evidence={evidence}
            onMark={setMarked}
            onPick={pick}
            handle={viewer}
          />
        )}
      </div>
      {zones.length > 0 && (
        <ZoneTable
          zones={zones}
          metric={metric}
          onMetric={setMetric}
          marked={marked}
          opened={opened}
          evidence={evidence}
          onMark={setMarked}
          onOpen={open}
          onShow={(zone) => viewer.current?.show(zone)}
          tableRef={table}
        />
      )}
    </div>
  );
}
