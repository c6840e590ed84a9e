'use client';
/** Shown when a page could not be made. The cause is in the program's own log, by the number shown here. */
import { useEffect } from 'react';

export default function ErrorPage({ error, reset }: { error: Error & { digest?: string }; reset: () => void }) {
  useEffect(() => {
    document.title = 'Not shown - Ebbline';
  }, []);
  return (
    <div className="sheet" role="alert">
      <h1>This page could not be shown</h1>
      <p>Your photographs and comparisons are untouched. Try again; if it fails once more, stop the program and start it again.</p>
      {error.digest && (
        <p className="small soft">
          The program&rsquo;s log has the cause under <span className="mono">{error.digest}</span>.
        </p>
      )}
      <button type="button" onClick={reset}>
        Try again
      </button>
    </div>
  );
}
