import { InputError } from '../geometry/input-error.ts';
import type { Scan, Unit } from '../geometry/scan.ts';
import type { IndexSink } from './index-sink.ts';
import type { PointSink } from './point-sink.ts';
import { scanOrigin } from './scan-origin.ts';
import { VertexWelder } from './vertex-welder.ts';

/** A mesh with a larger share of its points in no face is a cloud with a few faces on it: the points are kept and the faces go. */
const MOST_LOOSE = 0.5;

/** What a reader knows about a file beside its points. */
export interface ScanNotes {
  readonly format: string;
  readonly formatUnit?: Unit;
  readonly dropped: Record<string, number>;
  readonly warnings: string[];
}

/**
 * A scan from points and, if there are any, faces: merges equal vertices, drops facets that have lost a corner and vertices that no facet uses.
 * @param faces  corner indices, three a triangle, all within `points`
 * @throws {InputError} `no-points`
 */
export function finishScan(points: PointSink, faces: IndexSink | undefined, notes: ScanNotes): Scan {
  if (points.count === 0) throw new InputError('no-points', 'holds no points: export the scan again');
  const origin = scanOrigin((index, axis) => points.coordinate(index, axis), points.count);
  const positions = points.narrow(origin);
  const whole: Scan = {
    format: notes.format,
    positions,
    origin,
    triangles: undefined,
    storedPoints: points.count,
    storedTriangles: faces === undefined ? 0 : faces.count / 3,
    formatUnit: notes.formatUnit,
    dropped: notes.dropped,
    warnings: notes.warnings,
  };
  if (faces === undefined || faces.count === 0) return whole;
  const loose = countLoose(points.count, faces.values());
  if (loose <= MOST_LOOSE * points.count) return { ...whole, ...weldMesh(positions, faces.values(), loose, notes.dropped) };
  notes.warnings.push(`only ${points.count - loose} of ${points.count} points belong to a face: read as a point cloud`);
  return { ...whole, dropped: { ...notes.dropped, looseFaces: faces.count / 3 } };
}

/** @returns how many of `count` points no corner refers to */
function countLoose(count: number, corners: Uint32Array): number {
  const used = new Uint8Array(count);
  let loose = count;
  for (let i = 0; i < corners.length; i++) {
    if (used[corners[i]] === 1) continue;
    used[corners[i]] = 1;
    loose -= 1;
  }
  return loose;
}

/** Vertices come in the order in which facets first use them: what no facet uses is gone by itself. */
function weldMesh(positions: Float32Array, corners: Uint32Array, loose: number, dropped: ScanNotes['dropped']): Partial<Scan> {
  const bits = new Int32Array(positions.buffer, positions.byteOffset, positions.length);
  const welder = new VertexWelder(positions.length / 3);
  const triangles = new Uint32Array(corners.length);
  let kept = 0;
  for (let i = 0; i < corners.length; i += 3) {
    for (let k = 0; k < 3; k++) {
      const at = 3 * corners[i + k];
      triangles[kept + k] = welder.add(bits[at], bits[at + 1], bits[at + 2]);
    }
    if (hasThreeCorners(triangles, kept)) kept += 3;
  }
  const degenerateTriangles = (corners.length - kept) / 3;
  return {
    positions: welder.positions(),
    triangles: triangles.slice(0, kept),
    dropped: { ...dropped, degenerateTriangles, ...(loose > 0 ? { unreferencedPoints: loose } : {}) },
  };
}

function hasThreeCorners(triangles: Uint32Array, at: number): boolean {
  const a = triangles[at];
  const b = triangles[at + 1];
  const c = triangles[at + 2];
  return a !== b && b !== c && c !== a;
}
