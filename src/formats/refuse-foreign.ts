import { InputError } from '../geometry/input-error.ts';
import type { Head } from './format.ts';

interface Foreign {
  /** First characters of the file, one a byte. */
  readonly mark: string;
  readonly what: string;
  readonly advice: string;
}

const KNOWN = 'export it as STL, PLY, OBJ, PCD, glTF or a text cloud';

/** Files that are often taken for one of ours. */
const FOREIGN: readonly Foreign[] = [
  { mark: 'PK\u0003\u0004', what: 'a ZIP archive (or a 3MF or office file)', advice: `unpack it, or ${KNOWN}` },
  { mark: 'LASF', what: 'a LAS or LAZ cloud', advice: KNOWN },
  { mark: 'ASTM-E57', what: 'an E57 cloud', advice: KNOWN },
  { mark: 'BZh', what: 'packed with bzip2', advice: 'unpack it, or pack it with gzip' },
  { mark: '\u00fd7zXZ', what: 'packed with xz', advice: 'unpack it, or pack it with gzip' },
  { mark: '\u0028\u00b5\u002f\u00fd', what: 'packed with Zstandard', advice: 'unpack it, or pack it with gzip' },
  { mark: '7z\u00bc\u00af', what: 'a 7z archive', advice: `unpack it, or ${KNOWN}` },
  { mark: '\u00ff\u00fe', what: 'text in UTF-16', advice: 'save it as UTF-8' },
  { mark: '\u00fe\u00ff', what: 'text in UTF-16', advice: 'save it as UTF-8' },
  { mark: 'Kaydara FBX', what: 'an FBX scene', advice: KNOWN },
  { mark: 'ISO-10303-21', what: 'a STEP model, not a scan', advice: KNOWN },
];

/** @throws {InputError} always: `unsupported` for a format that may hold a scan, else `not-a-scan` */
export function refuseForeign({ bytes }: Head): never {
  const start = Buffer.from(bytes.subarray(0, 16)).toString('latin1');
  const foreign = FOREIGN.find(({ mark }) => start.startsWith(mark));
  if (foreign !== undefined) throw new InputError('unsupported', `is ${foreign.what}: ${foreign.advice}`);
  throw new InputError(
    'not-a-scan',
    'has the content of no scan format that is known: STL, PLY, OBJ, PCD, glTF or text with a point a line, or gzip of one',
  );
}
