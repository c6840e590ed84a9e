'use client';
/** Says who is signed in, and ends it. */
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import css from './sign-in.module.css';

const signedOutSchema = z.object({ signedIn: z.literal(false) });

export function SignOutButton({ name }: { name: string }) {
  const leave = async () => {
    await ask(signedOutSchema, '/api/sign-out', { method: 'POST' });
    window.location.assign('/sign-in');
  };
  return (
    <span className={`${css.who} no-print`}>
      <span className="soft" title={name}>
        {name}
      </span>
      <button type="button" onClick={leave}>
        Sign out
      </button>
    </span>
  );
}
