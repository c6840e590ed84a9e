/** An answer, or the reason there is none. Poor data is refused here; a programmer's mistake is thrown. */
export type Outcome<T, Why extends string> = Readonly<{ ok: true; value: T }> | Readonly<{ ok: false; why: Why; detail: string }>;

/** A refusal that can cross a thread: plain data, never an Error. */
export type Refusal<Why extends string> = Readonly<{ ok: false; why: Why; detail: string }>;

export const found = <T>(value: T): Readonly<{ ok: true; value: T }> => ({ ok: true, value });

/** `detail` is a whole sentence for the user: what is wrong, and what to do about it. */
export const refused = <Why extends string>(why: Why, detail: string): Refusal<Why> => ({ ok: false, why, detail });
