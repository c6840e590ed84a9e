/** Says why nothing was measured: a sentence for people, and with --json the same for programs, in the form `check --json` has. */
import type { World } from './command.ts';

export function tellRefusal(world: World, json: boolean, { why, detail }: Readonly<{ why: string; detail: string }>): void {
  world.err(`${detail}\n`);
  if (json) world.out(`${JSON.stringify({ ok: false, why, detail }, null, 2)}\n`);
}
