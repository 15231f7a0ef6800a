import { readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { InputError } from '../geometry/input-error.ts';
import { type GltfDocument, parseGltfDocument } from './gltf-document.ts';

const HEADER = 12;
const CHUNK_HEADER = 8;
const MAGIC = 0x46546c67;
const JSON_CHUNK = 0x4e4f534a;
const BINARY_CHUNK = 0x004e4942;

export interface GltfContent {
  readonly format: 'glb' | 'gltf';
  readonly document: GltfDocument;
  /** Contents of `document.buffers`, each as long as promised or longer. */
  readonly buffers: readonly Uint8Array[];
  /** Bytes after the end that the header states. */
  readonly trailing: number;
  readonly warnings: readonly string[];
}

/**
 * Takes GLB or glTF apart. Buffers come from the file itself, from `data:` addresses or from a plain file name beside it; nothing is fetched.
 * @param path  of the file; without it no other file is opened
 * @throws {InputError} `truncated`, `malformed`, `unsupported`, `unreadable`
 */
export async function openGltf(bytes: Uint8Array, path: string | undefined): Promise<GltfContent> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const binary = bytes.length >= 4 && view.getUint32(0, true) === MAGIC;
  const { json, body, trailing } = binary ? openGlb(bytes, view) : { json: bytes, body: undefined, trailing: 0 };
  const document = parseGltfDocument(new TextDecoder().decode(json));
  const buffers: Uint8Array[] = [];
  const warnings: string[] = [];
  for (const [number, { uri, byteLength }] of document.buffers.entries()) {
    const content = uri === undefined ? body : uri.startsWith('data:') ? fromDataUri(uri) : await fromFile(uri, path, warnings);
    if (content === undefined) throw new InputError('malformed', `glTF buffer ${number} is nowhere: export it again as GLB`);
    if (content.length < byteLength)
      throw new InputError('truncated', `glTF buffer ${number} promises ${byteLength} bytes, ${content.length} are there: export it again`);
    buffers.push(content);
  }
  return { format: binary ? 'glb' : 'gltf', document, buffers, trailing, warnings };
}

function openGlb(bytes: Uint8Array, view: DataView): { json: Uint8Array; body: Uint8Array | undefined; trailing: number } {
  if (bytes.length < HEADER + CHUNK_HEADER)
    throw new InputError('truncated', `ends after ${bytes.length} bytes, within the GLB header: export it again`);
  const version = view.getUint32(4, true);
  if (version !== 2) throw new InputError('unsupported', `is GLB of version ${version}: export it as glTF 2.0`);
  const length = view.getUint32(8, true);
  if (length > bytes.length)
    throw new InputError(
      'truncated',
      `header promises ${length} bytes, the file ends after ${bytes.length}: it is cut off; export it again`,
    );
  let json: Uint8Array | undefined;
  let body: Uint8Array | undefined;
  for (let at = HEADER; at + CHUNK_HEADER <= length; ) {
    const end = at + CHUNK_HEADER + view.getUint32(at, true);
    const type = view.getUint32(at + 4, true);
    if (end > length) throw new InputError('malformed', `a GLB chunk reaches to byte ${end}, the header says ${length}: export it again`);
    const chunk = bytes.subarray(at + CHUNK_HEADER, end);
    if (type === JSON_CHUNK) json ??= chunk;
    else if (type === BINARY_CHUNK) body ??= chunk;
    at = end;
  }
  if (json === undefined) throw new InputError('malformed', 'GLB without a JSON chunk: export it again');
  return { json, body, trailing: bytes.length - length };
}

function fromDataUri(uri: string): Uint8Array {
  const comma = uri.indexOf(',');
  if (comma < 0 || !uri.slice(0, comma).endsWith(';base64'))
    throw new InputError('unsupported', 'a glTF buffer is embedded in another way than base64: export it as GLB');
  return Buffer.from(uri.slice(comma + 1), 'base64');
}

async function fromFile(uri: string, path: string | undefined, warnings: string[]): Promise<Uint8Array> {
  const name = decodeName(uri);
  if (path === undefined || name === undefined)
    throw new InputError('unsupported', `names the buffer \`${uri.slice(0, 60)}\`, which is not a file beside it: export it as GLB`);
  warnings.push(`its points are in ${name} beside it, which the file's hash does not cover`);
  return readFile(join(dirname(path), name)).catch((error: NodeJS.ErrnoException) => {
    throw new InputError(
      'unreadable',
      `names the buffer ${name}, which cannot be read beside it (${error.code}): put it there, or export it as GLB`,
    );
  });
}

/** @returns undefined unless the address is a mere file name */
function decodeName(uri: string): string | undefined {
  if (!/^(?:[\w .()~+-]|%[0-9a-f]{2})+$/i.test(uri)) return undefined;
  let name: string;
  try {
    name = decodeURIComponent(uri);
  } catch {
    return undefined; // a percent sign that starts no UTF-8 character
  }
  return /[/\\:\0]/.test(name) || name.startsWith('.') ? undefined : name;
}
