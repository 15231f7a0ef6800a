import type { Vec3 } from './vec3.ts';

/** Length units a scan may be stored in. */
export type Unit = 'mm' | 'cm' | 'm' | 'in';

/** Millimetres per unit. */
export const MM_PER: Readonly<Record<Unit, number>> = { mm: 1, cm: 10, m: 1000, in: 25.4 };

/** What a reader found in a file. Coordinates are in the file's own unit. */
export interface Scan {
  /** Name of the format as the record gives it, e.g. `stl-binary`, `ply-ascii`, `pcd-binary-compressed`. */
  readonly format: string;
  /** 3n coordinates, relative to `origin`: centred in Float64 before they were narrowed. Meshes have equal vertices merged. */
  readonly positions: Float32Array;
  /** Float64 offset to add to every position (file unit); keeps a scan that lies kilometres away exact. */
  readonly origin: Vec3;
  /** 3m vertex indices; absent for a point cloud. */
  readonly triangles: Uint32Array | undefined;
  /** Points as stored in the file (STL: three a facet). */
  readonly storedPoints: number;
  /** Triangles as stored in the file, polygons split. */
  readonly storedTriangles: number;
  /** The unit that the format itself prescribes (glTF: metres), if any. */
  readonly formatUnit: Unit | undefined;
  /** What was left out, by name: never repaired in silence. */
  readonly dropped: Readonly<Record<string, number>>;
  /** Oddities worth telling a user, in one line each. */
  readonly warnings: readonly string[];
}
