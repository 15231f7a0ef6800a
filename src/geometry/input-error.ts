/** Stable, lower-case words joined by hyphens: other tools rely on them. */
export type FailureCode =
  | 'not-a-scan'
  | 'truncated'
  | 'no-points'
  | 'not-finite'
  | 'too-large'
  | 'no-instrument'
  | 'unit-unclear'
  | 'unreadable'
  | 'mirrored'
  | 'different-body'
  | 'malformed'
  | 'unsupported';

/** Something a user gave cannot be used: not a fault of the program, so it is shown without a stack. */
export class InputError extends Error {
  readonly code: FailureCode;

  /** @param message  what was read, what was found, what was expected, what to do; one or two lines, without the file's name (the caller adds it) */
  constructor(code: FailureCode, message: string) {
    super(message);
    this.name = 'InputError';
    this.code = code;
  }
}
