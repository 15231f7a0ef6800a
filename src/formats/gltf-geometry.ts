import { InputError } from '../geometry/input-error.ts';
import { isCoordinate, refuseCoordinate } from './coordinates.ts';
import { readAccessor } from './gltf-accessor.ts';
import type { GltfContent } from './gltf-container.ts';

const MODE_TRIANGLES = 4;
const FLOAT = 5126;
const UNSIGNED_INT = 5125;

/**
 * The same scene as a plain GLB that holds only nodes, positions and indices: positions tight 32-bit floats, indices 32-bit, nothing interleaved,
 * normalised or sparse, no materials and no address to fetch. What loaders do differently or wrong is thus gone before they see it.
 *
 * @throws {InputError} `malformed`, `not-finite`, `truncated`, `too-large`
 */
export function plainGlb(content: GltfContent): ArrayBuffer {
  const packer = new Packer(content);
  const { document } = content;
  const meshes = document.meshes.map(({ primitives }, mesh) => ({
    primitives: primitives.filter(({ attributes }) => attributes.POSITION !== undefined).map((primitive) => packer.pack(primitive, mesh)),
  }));
  const nodes = document.nodes.map(({ skin: _skin, mesh, ...node }) => {
    if (mesh !== undefined && mesh >= meshes.length)
      throw new InputError('malformed', `a glTF node shows mesh ${mesh}, the file has ${meshes.length}: export it again`);
    // a mesh without primitives is not allowed
    return mesh !== undefined && meshes[mesh].primitives.length > 0 ? { ...node, mesh } : node;
  });
  const json = {
    asset: { version: '2.0' },
    scene: 0,
    scenes: [{ nodes: rootsOf(document) }],
    nodes,
    meshes,
    accessors: packer.accessors,
    bufferViews: packer.bufferViews,
    buffers: packer.length === 0 ? [] : [{ byteLength: packer.length }],
  };
  return assemble(JSON.stringify(json), packer);
}

/** Roots of the scene that the file says to show; of all nodes when it names no scene. */
function rootsOf(document: GltfContent['document']): readonly number[] {
  const { nodes, scenes } = document;
  const children = new Set(nodes.flatMap((node) => node.children ?? []));
  const roots =
    scenes.length === 0 ? nodes.map((_, index) => index).filter((index) => !children.has(index)) : scenes[document.scene ?? 0]?.nodes;
  if (roots === undefined || roots.some((root) => root >= nodes.length))
    throw new InputError('malformed', 'the glTF scene is missing or names missing nodes: export it again');
  return roots;
}

type Primitive = GltfContent['document']['meshes'][number]['primitives'][number];

class Packer {
  readonly accessors: object[] = [];
  readonly bufferViews: object[] = [];
  readonly pieces: (Float32Array | Uint32Array)[] = [];
  length = 0;
  readonly #content: GltfContent;
  readonly #packed = new Map<number, number>();

  constructor(content: GltfContent) {
    this.#content = content;
  }

  pack(primitive: Primitive, mesh: number): object {
    const position = primitive.attributes.POSITION as number;
    const packed = { attributes: { POSITION: this.#packPositions(position, mesh) }, mode: primitive.mode };
    const points = this.#content.document.accessors[position].count;
    if (primitive.indices === undefined) {
      checkTriangles(primitive.mode, points, mesh);
      return packed;
    }
    return { ...packed, indices: this.#packIndices(primitive.indices, primitive.mode, points, mesh) };
  }

  #packPositions(accessor: number, mesh: number): number {
    const known = this.#packed.get(accessor);
    if (known !== undefined) return known;
    const values = readAccessor(this.#content, accessor, 3);
    const bad = values.findIndex((value) => !isCoordinate(value));
    if (bad >= 0) throw refuseCoordinate(`mesh ${mesh}, point ${Math.floor(bad / 3)}`, values[bad]);
    const least = [Infinity, Infinity, Infinity];
    const most = [-Infinity, -Infinity, -Infinity];
    for (let i = 0; i < values.length; i++) {
      least[i % 3] = Math.min(least[i % 3], values[i]);
      most[i % 3] = Math.max(most[i % 3], values[i]);
    }
    const packed = this.#add(Float32Array.from(values), {
      componentType: FLOAT,
      type: 'VEC3',
      count: values.length / 3,
      min: least,
      max: most,
    });
    this.#packed.set(accessor, packed);
    return packed;
  }

  #packIndices(accessor: number, mode: number, points: number, mesh: number): number {
    const values = readAccessor(this.#content, accessor, 1);
    checkTriangles(mode, values.length, mesh);
    const bad = values.find((value) => !(value >= 0 && value < points));
    if (bad !== undefined)
      throw new InputError('malformed', `mesh ${mesh} refers to point ${bad}, it has ${points}, counted from 0: export it again`);
    return this.#add(Uint32Array.from(values), { componentType: UNSIGNED_INT, type: 'SCALAR', count: values.length });
  }

  #add(piece: Float32Array | Uint32Array, accessor: object): number {
    this.bufferViews.push({ buffer: 0, byteOffset: this.length, byteLength: piece.byteLength });
    this.pieces.push(piece);
    this.length += piece.byteLength;
    this.accessors.push({ ...accessor, bufferView: this.bufferViews.length - 1 });
    return this.accessors.length - 1;
  }
}

function checkTriangles(mode: number, corners: number, mesh: number): void {
  if (mode !== MODE_TRIANGLES || corners % 3 === 0) return;
  throw new InputError('malformed', `mesh ${mesh} has ${corners} corners, which make no whole number of triangles: export it again`);
}

function assemble(json: string, packer: Packer): ArrayBuffer {
  const text = Buffer.from(json);
  const textLength = Math.ceil(text.length / 4) * 4;
  const glb = Buffer.alloc(12 + 8 + textLength + 8 + packer.length, ' ');
  glb.write('glTF', 0, 'latin1');
  glb.writeUInt32LE(2, 4);
  glb.writeUInt32LE(glb.length, 8);
  glb.writeUInt32LE(textLength, 12);
  glb.write('JSON', 16, 'latin1');
  text.copy(glb, 20);
  let at = 20 + textLength;
  glb.writeUInt32LE(packer.length, at);
  glb.write('BIN\0', at + 4, 'latin1');
  at += 8;
  for (const piece of packer.pieces) {
    Buffer.from(piece.buffer, piece.byteOffset, piece.byteLength).copy(glb, at);
    at += piece.byteLength;
  }
  return glb.buffer.slice(glb.byteOffset, glb.byteOffset + glb.length) as ArrayBuffer;
}
