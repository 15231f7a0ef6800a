import { InputError } from '../geometry/input-error.ts';
import type { FailedRecord } from './record.ts';
import { SOFTWARE } from './software.ts';
import { type Subject, subjectKeys } from './subject.ts';

/** Stable code of a failure that is this program's own: the run goes on, and the exit code tells. */
export const FAULT_CODE = 'fault';

/** The record of a scan that could not be measured. */
export const failedRecord = (subject: Subject, failed: FailedRecord['failed'], measuredAt: string): FailedRecord => ({
  ...subjectKeys(subject),
  failed: { code: failed.code, message: failed.message },
  settings: subject.settings,
  software: SOFTWARE,
  measuredAt,
});

/** A failure that another process has told of already. */
export class ToldFailure extends Error {
  readonly failed: FailedRecord['failed'];

  constructor({ failed, stack }: Told) {
    super(failed.message);
    this.name = 'ToldFailure';
    this.failed = failed;
    if (stack !== undefined) this.stack = stack;
  }
}

/** What a record says of an error: an `InputError` keeps its code, memory that ran out is a scan too large, anything else is a fault of the program. */
export function failureOf(error: unknown): FailedRecord['failed'] {
  if (error instanceof ToldFailure) return error.failed;
  if (error instanceof InputError) return { code: error.code, message: error.message };
  const message = error instanceof Error ? error.message : String(error);
  if (error instanceof RangeError && OUT_OF_MEMORY.test(message)) {
    return { code: 'too-large', message: `the memory did not suffice (${message}); thin the scan out, or give the program more memory` };
  }
  return { code: FAULT_CODE, message: `a fault in the program, not in the scan: ${message}; --stack shows where` };
}

/** How V8 words an array that does not fit. */
const OUT_OF_MEMORY = /allocation failed|Invalid typed array length|Invalid array buffer length/;

/** Why something could not be done, and for a fault of the program where it came from. */
export interface Told {
  readonly failed: FailedRecord['failed'];
  readonly stack?: string;
}

export function toldOf(error: unknown): Told {
  const failed = failureOf(error);
  return failed.code === FAULT_CODE && error instanceof Error ? { failed, stack: error.stack ?? error.message } : { failed };
}
