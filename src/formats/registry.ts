import type { Format } from './format.ts';
import { isObj, readObj } from './obj.ts';
import { readPcd } from './pcd.ts';
import { isPcd } from './pcd-header.ts';
import { isPly, readPly } from './ply.ts';
import { isGltf } from './sniff-gltf.ts';
import { isStlBinary, isStlText } from './sniff-stl.ts';
import { readStlAscii } from './stl-ascii.ts';
import { readStlBinary } from './stl-binary.ts';
import { readTextCloud } from './text-cloud.ts';
import { textLayout } from './text-layout.ts';

/** All formats that can be read, in the order in which they are tried: those with a mark of their own first, those known by their numbers last. */
export const FORMATS: readonly Format[] = [
  { sniff: isPly, read: readPly },
  { sniff: isGltf, read: async (reader, _head, path) => (await import('./gltf.ts')).readGltf(reader, path) },
  { sniff: isPcd, read: readPcd },
  { sniff: isStlBinary, read: readStlBinary },
  { sniff: isStlText, read: readStlAscii },
  { sniff: isObj, read: readObj },
  { sniff: (head) => textLayout(head) !== undefined, read: readTextCloud },
];
