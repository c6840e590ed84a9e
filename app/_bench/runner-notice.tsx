'use client';
/** Says that nothing can be measured while the measuring process is silent. A process that is only starting is given time. */
import { useRouter } from 'next/navigation';
import { useEffect, useState } from 'react';

const ASK_EVERY_MS = 4000;
const SILENT_TIMES = 2;

export function RunnerNotice({ alive }: { alive: boolean }) {
  const router = useRouter();
  const [asked, setAsked] = useState(0);
  useEffect(() => {
    if (alive) return;
    setAsked(0);
    const timer = setInterval(() => {
      setAsked((times) => times + 1);
      router.refresh();
    }, ASK_EVERY_MS);
    return () => clearInterval(timer);
  }, [alive, router]);

  if (alive || asked < SILENT_TIMES) return null;
  return (
    <p className="note stop" role="alert">
      The measuring process is not running, so nothing can be checked or measured now. Stop the program and start it again.
    </p>
  );
}
