/** Why something was not done, and what to do; more may stand under it. */
import type { ReactNode } from 'react';

export function FaultNote({ fault, children }: { fault: Readonly<{ message: string; advice: string }>; children?: ReactNode }) {
  return (
    <div className="note stop small" role="alert">
      <p>{fault.message}</p>
      {fault.advice && <p>{fault.advice}</p>}
      {children}
    </div>
  );
}
