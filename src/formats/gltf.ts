import type { Mesh, Object3D, Points } from 'three';
import type { Scan } from '../geometry/scan.ts';
import type { ByteReader } from './byte-reader.ts';
import { finishScan } from './finish-scan.ts';
import { openGltf } from './gltf-container.ts';
import { plainGlb } from './gltf-geometry.ts';
import { IndexSink } from './index-sink.ts';
import { PointSink } from './point-sink.ts';

/**
 * GLB or glTF 2.0: the points of all meshes and point sets of the scene, where its nodes put them. In metres, as the format prescribes.
 * @param path  of the file; without it no buffer beside it is opened
 * @throws {InputError} `truncated`, `no-points`, `not-finite`, `malformed`, `unsupported`, `unreadable`, `too-large`
 */
export async function readGltf(reader: ByteReader, path: string | undefined): Promise<Scan> {
  const content = await openGltf(await reader.rest(), path);
  const { GLTFLoader } = await import('three-stdlib'); // a quarter of a second: only who needs it pays
  const { scene } = await new GLTFLoader().parseAsync(plainGlb(content), '');
  scene.updateMatrixWorld(true);
  const points = new PointSink('double');
  const faces = new IndexSink();
  scene.traverse((object) => collect(object, points, faces));
  const warnings = [...content.warnings];
  if (content.document.nodes.some(({ skin }) => skin !== undefined)) warnings.push('skins were left out: meshes are in their pose at rest');
  if (content.trailing > 0) warnings.push(`${content.trailing} bytes after the end that the header states were left out`);
  const dropped = content.trailing > 0 ? { trailingBytes: content.trailing } : {};
  return finishScan(points, faces, { format: content.format, formatUnit: 'm', dropped, warnings });
}

function collect(object: Object3D, points: PointSink, faces: IndexSink): void {
  const { isMesh } = object as Mesh;
  if (isMesh !== true && (object as Points).isPoints !== true) return;
  const { geometry } = object as Mesh | Points;
  const first = points.count;
  addPoints(geometry.getAttribute('position').array, object.matrixWorld.elements, points);
  if (isMesh !== true) return;
  const corners = geometry.index?.array ?? Uint32Array.from({ length: points.count - first }, (_, i) => i);
  // a transform that mirrors turns facets inside out; the format wants their other side then
  const [second, third] = object.matrixWorld.determinant() < 0 ? [2, 1] : [1, 2];
  for (let i = 0; i + 2 < corners.length; i += 3)
    faces.addTriangle(first + corners[i], first + corners[i + second], first + corners[i + third]);
}

/** @param m  4 × 4, column-major */
function addPoints(array: ArrayLike<number>, m: readonly number[], points: PointSink): void {
  for (let i = 0; i < array.length; i += 3) {
    const x = array[i];
    const y = array[i + 1];
    const z = array[i + 2];
    points.add(m[0] * x + m[4] * y + m[8] * z + m[12], m[1] * x + m[5] * y + m[9] * z + m[13], m[2] * x + m[6] * y + m[10] * z + m[14]);
  }
}
