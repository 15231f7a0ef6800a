/**
 * Points of a surface with what is known of the surface around each: the common input of everything that looks for parts.
 * A mesh gives its vertices (points sampled on coarse triangles would cut across crests and arrises); a point cloud gives its points.
 */
export interface Cloud {
  readonly count: number;
  /** 3n coordinates. */
  readonly positions: Float32Array;
  /** 3n unit normals; signs are right only when `oriented`. */
  readonly normals: Float32Array;
  /** Surface that each point stands for, in the square of the coordinates' unit: dense stretches do not outweigh sparse ones. */
  readonly areas: Float32Array;
  /** Whether normals point out of the instrument (a mesh with consistent facets). */
  readonly oriented: boolean;
  /** The mesh's facets faced inwards and its normals were turned: either they were wound the wrong way round, or the scan is a mirror image. */
  readonly insideOut?: true;
  /** Large facets that points were put on: share of the surface that they cover, and their typical edge, coordinates' unit. Neighbouring points on one share its corners' noise. */
  readonly largeFacets?: { readonly share: number; readonly edge: number };
}
