import { z } from 'zod';
import { InputError } from '../geometry/input-error.ts';

const index = z.int().nonnegative();
const bytes = z.int().nonnegative().default(0);
const numbers = (length: number) => z.array(z.number()).length(length);

/** The part of a glTF document that says where points are; images, textures, materials, cameras and animations are cut off by leaving them out. */
const GltfSchema = z.object({
  asset: z.object({ version: z.string() }),
  extensionsRequired: z.array(z.string()).default([]),
  scene: index.optional(),
  scenes: z.array(z.object({ nodes: z.array(index).default([]) })).default([]),
  nodes: z
    .array(
      z.object({
        children: z.array(index).optional(),
        mesh: index.optional(),
        skin: index.optional(),
        matrix: numbers(16).optional(),
        translation: numbers(3).optional(),
        rotation: numbers(4).optional(),
        scale: numbers(3).optional(),
      }),
    )
    .default([]),
  meshes: z
    .array(
      z.object({
        primitives: z.array(
          z.object({
            attributes: z.object({ POSITION: index.optional() }),
            indices: index.optional(),
            mode: z.int().min(0).max(6).default(4),
          }),
        ),
      }),
    )
    .default([]),
  accessors: z
    .array(
      z.object({
        bufferView: index.optional(),
        byteOffset: bytes,
        componentType: z.int(),
        normalized: z.boolean().default(false),
        count: z.int().positive(),
        type: z.string(),
        sparse: z
          .object({
            count: z.int().positive(),
            indices: z.object({ bufferView: index, byteOffset: bytes, componentType: z.int() }),
            values: z.object({ bufferView: index, byteOffset: bytes }),
          })
          .optional(),
      }),
    )
    .default([]),
  bufferViews: z
    .array(z.object({ buffer: index, byteOffset: bytes, byteLength: z.int().positive(), byteStride: z.int().min(4).max(252).optional() }))
    .default([]),
  buffers: z.array(z.object({ uri: z.string().optional(), byteLength: z.int().positive() })).default([]),
});

export type GltfDocument = z.infer<typeof GltfSchema>;

/** Extensions that change no position, or that the reader of accessors understands. */
const HARMLESS = /^(KHR_mesh_quantization|KHR_materials_\w+|KHR_texture_\w+|EXT_texture_\w+|KHR_lights_punctual|KHR_xmp\w*)$/;

/**
 * @param text  JSON
 * @throws {InputError} `malformed`, `unsupported`
 * @see Khronos Group, glTF 2.0 Specification
 */
export function parseGltfDocument(text: string): GltfDocument {
  const parsed = GltfSchema.safeParse(parseJson(text));
  if (!parsed.success) {
    const issue = parsed.error.issues[0];
    throw new InputError('malformed', `glTF \`${issue.path.join('.') || 'document'}\`: ${issue.message}: export it again`);
  }
  const document = parsed.data;
  if (!document.asset.version.startsWith('2.'))
    throw new InputError('unsupported', `is glTF ${document.asset.version}: export it as glTF 2.0`);
  const foreign = document.extensionsRequired.find((name) => !HARMLESS.test(name));
  if (foreign !== undefined)
    throw new InputError('unsupported', `needs the glTF extension \`${foreign}\`: export it without compression and extensions`);
  refuseLoops(document);
  return document;
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    // a parser that stops at the very end has seen the file cut off
    const cut = error instanceof SyntaxError && /end of JSON|Unterminated/i.test(error.message);
    if (cut) throw new InputError('truncated', 'the glTF JSON ends early: the file is cut off; export it again');
    throw new InputError('malformed', `the glTF JSON cannot be read (${(error as Error).message.slice(0, 80)}): export it again`);
  }
}

/** A node has one parent at most, and none of its descendants as its parent: whoever walks the tree relies on it. */
function refuseLoops({ nodes }: GltfDocument): void {
  const parents = new Map<number, number>();
  nodes.forEach(({ children = [] }, parent) => {
    for (const child of children) {
      if (child >= nodes.length || parents.has(child))
        throw new InputError('malformed', `glTF node ${parent} has the child ${child}, which is missing or has another parent`);
      parents.set(child, parent);
    }
  });
  for (let start = 0; start < nodes.length; start++) {
    let steps = 0;
    for (let at = parents.get(start); at !== undefined; at = parents.get(at)) {
      steps += 1;
      if (steps > nodes.length) throw new InputError('malformed', `glTF node ${start} is among its own descendants`);
    }
  }
}
