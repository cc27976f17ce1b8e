/** Exit codes of every command. */
export const exitCodes = {
  done: 0,
  belowExpected: 1,
  badInput: 2,
  noPrivilege: 3,
  refusedForSafety: 4,
  interrupted: 5,
} as const;

export type ExitCode = (typeof exitCodes)[keyof typeof exitCodes];

/**
 * An error that a person can act on: what went wrong with which thing, and a hint. The text names
 * the thing, what was expected and what was found; capital first, no full stop at the end.
 */
export class UserError extends Error {
  readonly code: string;
  readonly exitCode: ExitCode;
  readonly hint: string | undefined;

  constructor(code: string, text: string, options: { exitCode: ExitCode; hint?: string }) {
    super(text);
    this.name = 'UserError';
    this.code = code;
    this.exitCode = options.exitCode;
    this.hint = options.hint;
  }
}
