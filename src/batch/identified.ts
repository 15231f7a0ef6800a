import { hashFile } from '../records/hash-file.ts';
import type { Subject } from '../records/subject.ts';

/** A refused scan is still told apart by its bytes, where there are any. */
export async function identified(subject: Subject, path: string): Promise<Subject> {
  if (subject.sha256 !== undefined) return subject;
  try {
    return { ...subject, sha256: await hashFile(path) };
  } catch {
    // Missing, a folder, no permission: the record already says so, and there are no bytes to name.
    return subject;
  }
}
