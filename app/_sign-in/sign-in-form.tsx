'use client';
/** Name and the practice's password; what was wrong is said beside them, and the name stays. */
import { type FormEvent, useRef, useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import css from './sign-in.module.css';

const signedInSchema = z.object({ signedIn: z.literal(true) });

export function SignInForm({ to }: { to: string }) {
  const [name, setName] = useState('');
  const [password, setPassword] = useState('');
  const [busy, setBusy] = useState(false);
  const [wrong, setWrong] = useState<string | null>(null);
  const passwordField = useRef<HTMLInputElement>(null);

  const send = async (event: FormEvent) => {
    event.preventDefault();
    setBusy(true);
    setWrong(null);
    const answer = await ask(signedInSchema, '/api/sign-in', { method: 'POST', body: { name, password } });
    if (answer.ok) {
      // A whole new page, so that nothing of the signed-out one is kept.
      window.location.assign(to);
      return;
    }
    setBusy(false);
    setPassword('');
    setWrong(`${answer.message} ${answer.advice}`.trim());
    passwordField.current?.focus();
  };

  return (
    <form className={css.form} onSubmit={send}>
      <label className={css.field}>
        <span>Your name</span>
        <input value={name} onChange={(event) => setName(event.target.value)} autoComplete="username" maxLength={80} required />
      </label>
      <label className={css.field}>
        <span>Password of the practice</span>
        <input
          ref={passwordField}
          type="password"
          value={password}
          onChange={(event) => setPassword(event.target.value)}
          autoComplete="current-password"
          aria-invalid={wrong !== null}
          aria-describedby="sign-in-wrong"
          maxLength={1024}
          required
        />
      </label>
      <p id="sign-in-wrong" role="alert" className={wrong ? `note stop ${css.wrong}` : css.wrong}>
        {wrong}
      </p>
      <button type="submit" className="main" disabled={busy}>
        {busy ? 'Signing in' : 'Sign in'}
      </button>
    </form>
  );
}
