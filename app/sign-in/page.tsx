/** Who are you? Asked where the program serves other machines too, or where it was told to ask; shown before anything else is. */
import type { Metadata } from 'next';
import css from '#app/_sign-in/sign-in.module.css';
import { SignInForm } from '#app/_sign-in/sign-in-form.tsx';
import { wayIn } from '#shared/way-in.ts';

export const metadata: Metadata = { title: 'Sign in' };

export default async function SignIn({ searchParams }: { searchParams: Promise<{ to?: string | string[] }> }) {
  const { to } = await searchParams;
  return (
    <div className={css.place}>
      <h1>Sign in</h1>
      <p className="soft">
        Patients&rsquo; photographs are kept here. The name you give stands beside everything you look at or change, in a list that nobody
        can alter unnoticed.
      </p>
      <SignInForm to={wayIn(to)} />
    </div>
  );
}
