import type { Head } from './format.ts';

/** GLB by its mark; glTF by being a JSON object with one of the lists that hold geometry. */
export function isGltf({ bytes, text }: Head): boolean {
  if (Buffer.from(bytes.subarray(0, 4)).toString('latin1') === 'glTF') return true;
  return /^\s*\{/.test(text) && /"(asset|accessors|bufferViews|buffers|meshes|nodes|scenes)"\s*:/.test(text);
}
