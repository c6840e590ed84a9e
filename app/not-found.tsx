/** Shown for an address that leads nowhere. */
import Link from 'next/link';

export default function NotFound() {
  return (
    <div className="sheet">
      <h1>There is nothing at this address</h1>
      <p>What was here may have been removed, or the address may be mistyped.</p>
      <p>
        <Link href="/">Go to the bench</Link> or to <Link href="/cases">the cases</Link>.
      </p>
    </div>
  );
}
