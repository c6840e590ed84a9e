/**
 * Where the record lies.
 * Source  XDG Base Directory Specification 0.8: data of a user belongs under $XDG_DATA_HOME, by default ~/.local/share;
 *         a relative value there is to be ignored.
 */
import { homedir } from 'node:os';
import { isAbsolute, join, resolve } from 'node:path';

/** `EBBLINE_HOME`, else `$XDG_DATA_HOME/ebbline`, else `~/.local/share/ebbline`; absolute. */
export function defaultDataDir(env: Readonly<Record<string, string | undefined>> = process.env): string {
  if (env.EBBLINE_HOME) return resolve(env.EBBLINE_HOME);
  const xdg = env.XDG_DATA_HOME;
  return join(xdg && isAbsolute(xdg) ? xdg : join(homedir(), '.local', 'share'), 'ebbline');
}
