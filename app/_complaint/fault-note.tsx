'use client';
/** Why a part was not recorded, and what to do. Where another window was first, the page can be loaded anew. */
import { FaultNote as Note } from '#app/_parts/fault-note.tsx';
import type { Fault } from './use-part.ts';

export function FaultNote({ fault, onRefresh }: { fault: Fault | null; onRefresh?: () => void }) {
  if (!fault) return null;
  const overtaken = fault.code === 'changed-meanwhile' || fault.code === 'locked' || fault.code === 'out-of-order';
  return (
    <Note fault={fault}>
      {overtaken && onRefresh && (
        <button type="button" onClick={onRefresh}>
          Show this complaint as it is now
        </button>
      )}
    </Note>
  );
}
