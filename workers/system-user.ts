/** Who uses this machine's own page: the system's name for the user that runs the program. */
import { userInfo } from 'node:os';

export function systemUser(): string {
  try {
    return userInfo().username;
  } catch {
    // A user without a name, as in some containers.
    return `user ${process.getuid?.() ?? 'unknown'}`;
  }
}
