/** The frame around every page. Rendered for each request, because each answer carries a new script nonce. */
import './globals.css';
import type { Metadata, Viewport } from 'next';
import Link from 'next/link';
import type { ReactNode } from 'react';
import frame from '#app/_parts/frame.module.css';
import { Wordmark } from '#app/_parts/wordmark.tsx';
import { isOutside, signedInAs } from '#app/_server/actor.ts';
import { SignOutButton } from '#app/_sign-in/sign-out-button.tsx';

export const dynamic = 'force-dynamic';

export const metadata: Metadata = {
  title: { default: 'Ebbline', template: '%s - Ebbline' },
  description: 'Two photographs of one face become a measured answer: what changed, by how much, and whether that is more than the error.',
  robots: { index: false, follow: false },
  referrer: 'no-referrer',
};
export const viewport: Viewport = { width: 'device-width', initialScale: 1 };

export default async function Layout({ children }: { children: ReactNode }) {
  const [who, outside] = await Promise.all([signedInAs(), isOutside()]);
  return (
    <html lang="en">
      <body>
        <a className="skip button" href="#content">
          Skip to the content
        </a>
        <header className={frame.top}>
          <Link className={frame.home} href="/">
            <Wordmark />
          </Link>
          {!outside && (
            <nav className={`${frame.places} no-print`} aria-label="Places">
              <Link href="/">Bench</Link>
              <Link href="/cases">Cases</Link>
              <Link href="/series">Series</Link>
              <Link href="/settings">Settings</Link>
              <Link href="/about">What is measured</Link>
            </nav>
          )}
          {who !== null && <SignOutButton name={who} />}
        </header>
        <main id="content" tabIndex={-1}>
          {children}
        </main>
        <footer className={frame.foot}>
          <p>
            An aid to documentation, not a diagnosis and not a medical device. Everything stays on this computer: nothing is sent anywhere.
          </p>
        </footer>
      </body>
    </html>
  );
}
