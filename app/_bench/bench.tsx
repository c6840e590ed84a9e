'use client';
/** The bench: two trays, what the user may add to them, and the button that measures. */
import { type ReactNode, useEffect, useMemo, useRef, useState } from 'react';
import type { ScaleHintRequest } from '#shared/job.ts';
import css from './bench.module.css';
import { allCards, readiness, SIDES, type Side } from './cards.ts';
import { MeasureBar } from './measure-bar.tsx';
import { OptionFields } from './option-fields.tsx';
import { type Options, optionWords, PLAIN_OPTIONS, scaleOf } from './options.ts';
import { type SetUpChoice, SetUpField } from './set-up-field.tsx';
import { Tray } from './tray.tsx';
import { useTrays } from './use-trays.ts';
import { ZonePicker } from './zone-picker.tsx';

const IRIS: ScaleHintRequest = { kind: 'iris' };

export function Bench({ setUps }: { setUps: readonly SetUpChoice[] }) {
  const [options, setOptions] = useState<Options>(PLAIN_OPTIONS);
  const scale = scaleOf(options);
  const settledScale = useSettled(scale ?? IRIS);
  const hands = useTrays(settledScale);
  const { trays } = hands;
  const ready = readiness(trays);
  const afterDayKnown = latestDay(trays.after.flatMap((card) => card.check?.facts.takenAt ?? []));
  const change = (part: Partial<Options>) => setOptions((was) => ({ ...was, ...part }));

  usePastedFiles((files, side) => hands.add(side ?? (trays.before.length === 0 ? 'before' : 'after'), files));
  useNoStrayDrop();

  return (
    <div className={css.bench} aria-busy={!hands.ready}>
      <div className={css.trays}>
        {SIDES.map((side) => (
          <Tray
            key={side}
            side={side}
            cards={trays[side]}
            spare={ready.spare}
            onFiles={(files) => hands.add(side, files)}
            onRemove={hands.remove}
            onMove={hands.move}
          />
        ))}
      </div>
      <p className="unseen" role="status">
        {spoken(trays)}
      </p>
      <div className={`row ${css.between}`}>
        <button type="button" onClick={hands.swap} disabled={allCards(trays).length === 0}>
          Swap before and after
        </button>
        <button type="button" onClick={hands.clear} disabled={allCards(trays).length === 0}>
          Empty both trays
        </button>
      </div>
      <MeasureBar trays={trays} options={options} scale={scale} afterDayKnown={afterDayKnown} />
      <OptionSheet options={options} wanted={allCards(trays).length > 0}>
        <ZonePicker chosen={options.treatedZones} onChange={(treatedZones) => change({ treatedZones })} />
        <OptionFields options={options} onChange={change} afterDayKnown={afterDayKnown}>
          <SetUpField chosen={options.setUp} setUps={setUps} onChange={(setUp) => change({ setUp })} />
        </OptionFields>
      </OptionSheet>
    </div>
  );
}

/** Folded while the trays are empty, so that a newcomer sees the comparisons below; what is set shows in its head. */
function OptionSheet({ options, wanted, children }: { options: Options; wanted: boolean; children: ReactNode }) {
  const [open, setOpen] = useState(false);
  useEffect(() => {
    if (wanted) setOpen(true);
  }, [wanted]);
  return (
    <details className={`sheet ${css.optionSheet}`} open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        <strong>Treated zones, days, scale and error limits</strong> <span className="small soft">{optionWords(options)}</span>
      </summary>
      <div className={css.options}>{children}</div>
    </details>
  );
}

function spoken(trays: Readonly<Record<Side, readonly { name: string; stage: string; fault: { message: string } | null }[]>>): string {
  const last = [...trays.before, ...trays.after].filter((card) => card.stage === 'checked' || card.stage === 'refused').at(-1);
  if (!last) return '';
  return last.stage === 'checked' ? `${last.name} is checked.` : `${last.name}: ${last.fault?.message ?? ''}`;
}

const latestDay = (times: readonly string[]): string | null =>
  times
    .map((time) => time.slice(0, 10))
    .sort()
    .at(-1) ?? null;

/** The value once it has stood still for a moment, so that typing a length does not start a check at every digit. */
function useSettled<T>(value: T): T {
  const key = JSON.stringify(value);
  const [settled, setSettled] = useState(key);
  useEffect(() => {
    const timer = setTimeout(() => setSettled(key), 600);
    return () => clearTimeout(timer);
  }, [key]);
  return useMemo(() => JSON.parse(settled) as T, [settled]);
}

/** Pasted photographs go to the tray that has the focus, or else to the first that is empty. */
function usePastedFiles(onFiles: (files: readonly File[], side: Side | null) => void): void {
  const tell = useRef(onFiles);
  useEffect(() => {
    tell.current = onFiles;
  });
  useEffect(() => {
    const pasted = (event: ClipboardEvent) => {
      const files = [...(event.clipboardData?.files ?? [])];
      if (files.length === 0) return;
      event.preventDefault();
      const side = document.activeElement?.closest<HTMLElement>('section[data-side]')?.dataset['side'] as Side | undefined;
      tell.current(files, side ?? null);
    };
    window.addEventListener('paste', pasted);
    return () => window.removeEventListener('paste', pasted);
  }, []);
}

/** A file dropped beside the trays must not replace the page. */
function useNoStrayDrop(): void {
  useEffect(() => {
    const hold = (event: DragEvent) => {
      if (event.dataTransfer?.types.includes('Files')) event.preventDefault();
    };
    window.addEventListener('dragover', hold);
    window.addEventListener('drop', hold);
    return () => {
      window.removeEventListener('dragover', hold);
      window.removeEventListener('drop', hold);
    };
  }, []);
}
