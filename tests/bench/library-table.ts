import { EigenvalueDecomposition, Matrix, QrDecomposition, SingularValueDecomposition } from 'ml-matrix';
import { BufferAttribute, BufferGeometry, Vector3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import { mergeVertices, PLYLoader, STLLoader } from 'three-stdlib';
import { cloudFromScan } from '../../src/cloud/cloud-from-scan.ts';
import { gridOfPoints } from '../../src/cloud/point-grid.ts';
import { fitPlane } from '../../src/fits/plane.ts';
import { parseScan } from '../../src/formats/read-scan.ts';
import type { Scan } from '../../src/geometry/scan.ts';
import { linearLeastSquares } from '../../src/numerics/linear-least-squares.ts';
import { random } from '../../src/numerics/random.ts';
import { symmetricEigen } from '../../src/numerics/symmetric-eigen.ts';
import { type Shape, writePly } from '../../src/samples/write-ply.ts';
import { writeStlBinary } from '../../src/samples/write-stl.ts';
import type { ReportTable } from '../study/report-table.ts';
import { inTurns, type Work } from './in-turns.ts';

interface Comparison {
  readonly job: string;
  readonly library: string;
  readonly ours: Work;
  readonly theirs: Work;
}

/** The same jobs by this project's code and by general-purpose libraries, in one run. */
export async function libraryTable(shape: Shape, turns: number): Promise<ReportTable> {
  const rows: string[][] = [];
  for (const { job, library, ours, theirs } of await comparisons(shape)) {
    const [own, other] = (await inTurns([ours, theirs], turns)) as [number, number];
    rows.push([job, own.toFixed(1), other.toFixed(1), (other / own).toFixed(2), library]);
  }
  return {
    title: 'Against general-purpose libraries',
    note: `Median of ${turns} turns, ms on the processor; above 1 in the ratio this project's code is the faster.`,
    columns: ['job', 'necksight', 'library', 'ratio', 'library code'],
    rows,
  };
}

async function comparisons(shape: Shape): Promise<Comparison[]> {
  const stl = writeStlBinary(shape);
  const ply = writePly(shape, 'binary_little_endian');
  const scan = await parseScan(ply);
  const million = `${((scan.triangles?.length ?? 0) / 3e6).toFixed(2)} M triangles`;
  return [
    {
      job: `binary STL to points that facets share, ${million}`,
      library: 'three-stdlib STLLoader, mergeVertices',
      ours: () => parseScan(stl),
      theirs: () => mergeVertices(new STLLoader().parse(bufferOf(stl)).deleteAttribute('normal'), 0),
    },
    {
      job: `binary STL, corners only by the library, ${million}`,
      library: 'three-stdlib STLLoader',
      ours: () => parseScan(stl),
      theirs: () => new STLLoader().parse(bufferOf(stl)),
    },
    {
      job: `binary PLY, ${million}`,
      library: 'three-stdlib PLYLoader',
      ours: () => parseScan(ply),
      theirs: () => new PLYLoader().parse(bufferOf(ply)),
    },
    {
      job: `normals of all points, ${million}`,
      library: 'three computeVertexNormals',
      ours: () => cloudFromScan(scan),
      theirs: () => geometryOf(scan).computeVertexNormals(),
    },
    neighbours(scan),
    ...linearAlgebra(),
  ];
}

const bufferOf = (bytes: Uint8Array): ArrayBuffer =>
  bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) as ArrayBuffer;

function geometryOf(scan: Scan): BufferGeometry {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(scan.positions, 3));
  // The library sorts what it is given.
  geometry.setIndex(new BufferAttribute((scan.triangles ?? new Uint32Array()).slice(), 1));
  return geometry;
}

const LOOKUPS = 10_000;
/** Edge of a cell and reach of a look-up, in the scan's unit (mm). */
const REACH = 2;

/** An index over the whole scan, and what lies within `REACH` of some of its points. */
function neighbours(scan: Scan): Comparison {
  const p = scan.positions;
  const step = Math.floor(p.length / 3 / LOOKUPS);
  const target = new Vector3();
  return {
    job: `index over all points, ${LOOKUPS} look-ups`,
    library: 'three-mesh-bvh, nearest point of the mesh',
    ours: () => {
      const grid = gridOfPoints(p, REACH);
      let seen = 0;
      for (let i = 0; i < LOOKUPS; i++) seen += countWithin(grid, p, 3 * i * step);
      return seen;
    },
    theirs: () => {
      const bvh = new MeshBVH(geometryOf(scan));
      let sum = 0;
      for (let i = 0; i < LOOKUPS; i++) sum += bvh.closestPointToPoint(target.fromArray(p, 3 * i * step))?.distance ?? 0;
      return sum;
    },
  };
}

function countWithin(grid: ReturnType<typeof gridOfPoints>, p: Float32Array, at: number): number {
  const [cx, cy, cz] = [0, 1, 2].map((k) => Math.floor((p[at + k] - grid.min[k]) / grid.cell)) as [number, number, number];
  const [nx, ny, nz] = grid.size;
  let n = 0;
  for (let z = Math.max(0, cz - 1); z <= Math.min(nz - 1, cz + 1); z++)
    for (let y = Math.max(0, cy - 1); y <= Math.min(ny - 1, cy + 1); y++) {
      const row = (z * ny + y) * nx;
      for (let j = grid.starts[row + Math.max(0, cx - 1)]; j < grid.starts[row + Math.min(nx - 1, cx + 1) + 1]; j++) {
        const q = 3 * grid.order[j];
        if ((p[q] - p[at]) ** 2 + (p[q + 1] - p[at + 1]) ** 2 + (p[q + 2] - p[at + 2]) ** 2 < REACH * REACH) n++;
      }
    }
  return n;
}

const ROWS = 2000;
const COLUMNS = 5;
const FITS = 20;
const EIGENS = 20_000;

function linearAlgebra(): Comparison[] {
  const stream = random('linear algebra');
  const t = Float64Array.from({ length: ROWS }, () => 2 * stream.uniform() - 1);
  const design = Float64Array.from({ length: ROWS * COLUMNS }, (_, i) => t[Math.floor(i / COLUMNS)] ** (i % COLUMNS));
  const y = Float64Array.from(t, (v) => 1 + v * v + 0.01 * stream.normal());
  const rows = Array.from({ length: ROWS }, (_, i) => Array.from(design.subarray(i * COLUMNS, (i + 1) * COLUMNS)));
  const points = Float64Array.from({ length: 3 * ROWS }, () => stream.normal());
  const symmetric = [4, 1, 0.5, 1, 3, 0.2, 0.5, 0.2, 2];
  const repeated = (times: number, work: () => unknown) => () => {
    for (let i = 0; i < times; i++) work();
  };
  return [
    {
      job: `${FITS} polynomial fits, ${ROWS} × ${COLUMNS}, with covariance`,
      library: 'ml-matrix QrDecomposition, without covariance',
      ours: repeated(FITS, () => linearLeastSquares(design, COLUMNS, y)),
      theirs: repeated(FITS, () => new QrDecomposition(new Matrix(rows)).solve(Matrix.columnVector(y))),
    },
    {
      job: `${FITS} planes through ${ROWS} points, with covariance`,
      library: 'ml-matrix SingularValueDecomposition',
      ours: repeated(FITS, () => fitPlane(points)),
      theirs: repeated(FITS, () => {
        const m = Matrix.from1DArray(ROWS, 3, points);
        return new SingularValueDecomposition(m.center('column'), { computeLeftSingularVectors: false });
      }),
    },
    {
      job: `${EIGENS} symmetric 3 × 3 eigenproblems`,
      library: 'ml-matrix EigenvalueDecomposition',
      ours: repeated(EIGENS, () => symmetricEigen(symmetric, 3)),
      theirs: repeated(EIGENS, () => new EigenvalueDecomposition(Matrix.from1DArray(3, 3, symmetric), { assumeSymmetric: true })),
    },
  ];
}
