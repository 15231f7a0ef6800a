/** What the process tells its caller. */
export const EXIT = {
  done: 0,
  /** At least one scan failed; everything else was written. */
  partly: 1,
  /** Usage, catalogue or pipeline file is wrong: nothing was started. */
  usage: 2,
  /** A fault in necksight itself. */
  fault: 70,
  interrupted: 130,
} as const;

export type ExitCode = (typeof EXIT)[keyof typeof EXIT];
