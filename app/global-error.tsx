'use client';
/** The last resort, when even the frame of the pages failed: plain words without style. */
export default function GlobalError({ error }: { error: Error & { digest?: string } }) {
  return (
    <html lang="en">
      <head>
        <title>Not shown - Ebbline</title>
      </head>
      <body>
        <main>
          <h1>This page could not be shown</h1>
          <p>Your photographs and comparisons are untouched. Stop the program and start it again.</p>
          {error.digest && <p>The program&rsquo;s log has the cause under {error.digest}.</p>}
          <p>
            <a href="/">Go to the bench</a>
          </p>
        </main>
      </body>
    </html>
  );
}
