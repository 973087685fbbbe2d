/** What ends a command early with a message and no stack trace. */

/** Exit codes: 0 ran, 1 ran and a stated limit was missed, 2 bad input. */
export const EXIT = { ok: 0, missed: 1, badInput: 2, interrupted: 130, internal: 70 } as const;

/** Bad input: printed as it is, exit code 2. */
export class BadInput extends Error {
  constructor(readonly lines: readonly string[]) {
    super(lines.join('\n'));
  }
}
