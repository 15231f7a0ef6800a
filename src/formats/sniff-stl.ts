import type { Head } from './format.ts';
import { STL_FACET, STL_HEADER } from './stl-binary.ts';

/** Facets that are looked at when the size does not tell. */
const PROBES = 8;
/** Magnitudes that coordinates and normals of a scan have in any unit, zero apart; a quarter of all bit patterns, so 12 chance hits are 1 in 10⁷. */
const LEAST = 1e-12;
const MOST = 1e7;
/** Of the twelve numbers of a facet. */
const LEAST_PLAUSIBLE = 9;

/**
 * Binary STL has no mark. It is recognised by its size, 84 + 50 n; if that does not fit (cut off, over-long, out of gzip) by facets that look like facets.
 * That its header begins with `solid` says nothing.
 */
export function isStlBinary({ bytes, size, text, whole }: Head): boolean {
  if (bytes.length < STL_HEADER) return false;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const count = view.getUint32(80, true);
  if ((size ?? (whole ? bytes.length : -1)) === STL_HEADER + STL_FACET * count) return true;
  if (text !== '') return false;
  const probes = Math.min(PROBES, count > 0 ? count : PROBES, Math.floor((bytes.length - STL_HEADER) / STL_FACET));
  if (probes === 0) return count > 0 && isPlainHeader(bytes.subarray(0, 80));
  const body = bytes.subarray(STL_HEADER, STL_HEADER + probes * STL_FACET);
  for (let i = 0; i < probes; i++) if (!isFacet(view, STL_HEADER + i * STL_FACET)) return false;
  return body.some((byte) => byte !== 0);
}

/** A corner that is not finite is bad data in an STL file, not another format: a few of the twelve numbers may be so. */
function isFacet(view: DataView, at: number): boolean {
  let plausible = 0;
  for (let i = 0; i < 12; i++) {
    const magnitude = Math.abs(view.getFloat32(at + 4 * i, true));
    if (magnitude === 0 || (magnitude > LEAST && magnitude < MOST)) plausible += 1;
    else if (Number.isFinite(magnitude)) return false;
  }
  return plausible >= LEAST_PLAUSIBLE;
}

/** Printable text padded with spaces or zeros. */
function isPlainHeader(header: Uint8Array): boolean {
  return header.every((byte) => byte === 0 || (byte >= 32 && byte < 127));
}

/** `solid`, a name, and then a facet, the end or, in a file that is cut off there, the beginning of one: prose that begins with the word goes on otherwise. */
export function isStlText({ text, whole }: Head): boolean {
  if (!/^\s*solid\b/i.test(text)) return false;
  return /\bfacet\s+normal\b|\bendsolid\b/i.test(text) || (whole && /^\s*solid\b[^\n\r]*([\n\r]\s*f?a?c?e?t?\s*n?o?r?m?a?)?$/i.test(text));
}
