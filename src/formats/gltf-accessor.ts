import { InputError } from '../geometry/input-error.ts';
import type { GltfContent } from './gltf-container.ts';
import { MOST_POINTS } from './point-sink.ts';

interface Component {
  readonly bytes: number;
  read(view: DataView, at: number): number;
  /** Of a normalised value. */
  readonly full: number;
}

const COMPONENTS: Readonly<Record<number, Component>> = {
  5120: { bytes: 1, read: (view, at) => view.getInt8(at), full: 127 },
  5121: { bytes: 1, read: (view, at) => view.getUint8(at), full: 255 },
  5122: { bytes: 2, read: (view, at) => view.getInt16(at, true), full: 32767 },
  5123: { bytes: 2, read: (view, at) => view.getUint16(at, true), full: 65535 },
  5125: { bytes: 4, read: (view, at) => view.getUint32(at, true), full: 0xffffffff },
  5126: { bytes: 4, read: (view, at) => view.getFloat32(at, true), full: 1 },
};
/** Indices a point: as many as triangles of a closed surface have corners. */
const INDICES_PER_POINT = 6;

/**
 * The numbers of an accessor, one after the other: interleaved, normalised, quantised and sparse ones included.
 * @param width  numbers an entry: 3 for positions, 1 for indices
 * @throws {InputError} `malformed`, `truncated`, `too-large`
 */
export function readAccessor(content: GltfContent, index: number, width: 1 | 3): Float64Array {
  const accessor = content.document.accessors[index];
  if (accessor === undefined || accessor.type !== (width === 3 ? 'VEC3' : 'SCALAR')) {
    throw new InputError('malformed', `glTF accessor ${index} is missing or not what it is used for: export it again`);
  }
  const { count, componentType, normalized, sparse } = accessor;
  if (count * width > 3 * MOST_POINTS * INDICES_PER_POINT)
    throw new InputError('too-large', `glTF accessor ${index} holds ${count} entries: thin the scan first`);
  if (accessor.bufferView !== undefined) checkRange(content, accessor.bufferView, accessor.byteOffset, componentType, width, count);
  const values = new Float64Array(count * width);
  if (accessor.bufferView !== undefined) fill(values, content, accessor.bufferView, accessor.byteOffset, componentType, width);
  if (sparse !== undefined) substitute(values, content, sparse, componentType, width);
  const full = componentOf(componentType).full;
  return normalized ? values.map((value) => Math.max(value / full, -1)) : values;
}

function componentOf(type: number): Component {
  const component = Object.hasOwn(COMPONENTS, type) ? COMPONENTS[type] : undefined;
  if (component === undefined) throw new InputError('malformed', `glTF component type ${type} is not known: export it again`);
  return component;
}

/** @returns bytes from one entry to the next */
function checkRange(content: GltfContent, viewIndex: number, offset: number, type: number, width: number, count: number): number {
  const bufferView = content.document.bufferViews[viewIndex];
  const buffer = bufferView === undefined ? undefined : content.buffers[bufferView.buffer];
  if (buffer === undefined)
    throw new InputError('malformed', `glTF buffer view ${viewIndex} is missing or without a buffer: export it again`);
  const size = componentOf(type).bytes * width;
  const stride = bufferView.byteStride ?? size;
  const end = offset + stride * (count - 1) + size;
  if (end > bufferView.byteLength) {
    throw new InputError('malformed', `glTF buffer view ${viewIndex} has ${bufferView.byteLength} bytes, ${end} are used: export it again`);
  }
  if (bufferView.byteOffset + bufferView.byteLength > buffer.length) {
    throw new InputError('truncated', `glTF buffer view ${viewIndex} reaches beyond its buffer: the file is cut off; export it again`);
  }
  return stride;
}

function fill(values: Float64Array, content: GltfContent, viewIndex: number, offset: number, type: number, width: number): void {
  const count = values.length / width;
  const stride = checkRange(content, viewIndex, offset, type, width, count);
  const { buffer, byteOffset } = content.document.bufferViews[viewIndex];
  const bytes = content.buffers[buffer];
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const component = componentOf(type);
  for (let i = 0; i < count; i++) {
    const at = byteOffset + offset + i * stride;
    for (let k = 0; k < width; k++) values[i * width + k] = component.read(view, at + k * component.bytes);
  }
}

type Sparse = NonNullable<GltfContent['document']['accessors'][number]['sparse']>;

function substitute(values: Float64Array, content: GltfContent, sparse: Sparse, type: number, width: number): void {
  if (sparse.count * width > values.length)
    throw new InputError('malformed', 'a sparse glTF accessor replaces more entries than it has: export it again');
  const places = new Float64Array(sparse.count);
  fill(places, content, sparse.indices.bufferView, sparse.indices.byteOffset, sparse.indices.componentType, 1);
  const entries = new Float64Array(sparse.count * width);
  fill(entries, content, sparse.values.bufferView, sparse.values.byteOffset, type, width);
  places.forEach((place, i) => {
    if (!((place + 1) * width <= values.length))
      throw new InputError('malformed', `a sparse glTF accessor replaces entry ${place}, which it has not: export it again`);
    values.set(entries.subarray(i * width, (i + 1) * width), place * width);
  });
}
