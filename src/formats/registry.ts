import type { Format } from './format.ts';
import { readPly } from './ply.ts';
import { isStlBinary, isStlText } from './sniff-stl.ts';
import { readStlAscii } from './stl-ascii.ts';
import { readStlBinary } from './stl-binary.ts';

/** All formats that can be read, in the order in which they are tried: those with a mark of their own first. */
export const FORMATS: readonly Format[] = [
  { sniff: ({ bytes }) => /^ply[\r\n]/.test(Buffer.from(bytes.subarray(0, 4)).toString('latin1')), read: readPly },
  { sniff: isStlBinary, read: readStlBinary },
  { sniff: isStlText, read: readStlAscii },
];
