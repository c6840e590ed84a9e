/** Answers that read what is sealed: damage of one thing is told with its own code, and everything else goes on. */
import { vaultFault } from '#lib/record/vault-error.ts';
import { problem } from './answer.ts';

export async function unsealed(read: () => Promise<Response>): Promise<Response> {
  try {
    return await read();
  } catch (error) {
    const fault = vaultFault(error);
    if (!fault) throw error;
    return problem(500, fault.code, fault.message);
  }
}
