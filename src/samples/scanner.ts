import { compose, invert, type Motion, motionFromAxes } from '../geometry/motion.ts';
import { MM_PER } from '../geometry/scan.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import type { Random } from '../numerics/random.ts';
import { sampleField } from '../numerics/random-field.ts';
import { meshInstrument, type ModelInstrument } from './instrument.ts';
import { PART } from './part.ts';
import type { ScanSettings, View } from './scan-settings.ts';
import { pointNormals } from './surface-mesh.ts';
import { drawingToFrame } from './truth-frame.ts';
import { type Direction, visiblePoints } from './visibility.ts';

export interface ModelScan {
  readonly settings: ScanSettings;
  /** 3n coordinates in the scan's unit and pose. */
  readonly positions: Float64Array;
  readonly triangles: Uint32Array | undefined;
  /** What each point lies on (`PART`). */
  readonly labels: Uint8Array;
  /** The same points without noise, in drawing coordinates, and their unit normals: what the floor fit works on. */
  readonly clean: Float64Array;
  readonly normals: Float64Array;
  /** Row-major 4 × 4: scan coordinates in the scan's unit to the instrument frame in mm. */
  readonly frame: readonly number[];
}

/** Spacing of the mesh that hides what lies behind it, as a share of the body's length (1.4 mm on a violin). */
const OCCLUDER_SPACING = 0.004;

/** Takes a scan of an instrument. Equal streams give equal scans. */
export function scanInstrument(instrument: ModelInstrument, settings: ScanSettings, random: Random): ModelScan {
  const length = instrument.spec.body.outline.length;
  const mesh = meshInstrument(instrument, settings.spacing, settings.fittings);
  const normals = pointNormals(mesh);
  const coarse = Math.max(settings.spacing, OCCLUDER_SPACING * length);
  const occluder = meshInstrument(instrument, coarse, settings.fittings);
  const seen = visiblePoints(mesh.positions, normals, occluder, directionsOf(settings.view), coarse, 0.25 * coarse);
  cutView(seen, mesh.positions, mesh.labels, settings.view, length);
  punchHoles(seen, mesh.positions, mesh.labels, settings, random.fork('holes'));
  const { positions, triangles, from } = keepSeen(mesh.positions, mesh.triangles, seen);
  const labels = Uint8Array.from(from, (i) => mesh.labels[i]);
  const n = labels.length;
  const keptNormals = new Float64Array(3 * n);
  for (let i = 0; i < n; i++) for (let k = 0; k < 3; k++) keptNormals[3 * i + k] = normals[3 * from[i] + k];
  const noisy = addNoise(positions, keptNormals, settings, random);
  addWildPoints(noisy, labels, settings, random.fork('wild'));
  const pose = drawPose(settings, random.fork('pose'));
  const out = new Float64Array(3 * n);
  for (let i = 0; i < out.length; i += 3) for (let k = 0; k < 3; k++) out[i + k] = pose[4 * k] * noisy[i] + pose[4 * k + 1] * noisy[i + 1] + pose[4 * k + 2] * noisy[i + 2] + pose[4 * k + 3];
  const frame = compose(drawingToFrame(instrument), invert(pose));
  return {
    settings,
    positions: out,
    triangles: settings.kind === 'mesh' ? triangles : undefined,
    labels,
    clean: positions,
    normals: keptNormals,
    frame: [...frame, 0, 0, 0, 1],
  };
}

/** Directions from which the scanner looks. */
function directionsOf(view: View): Direction[] {
  const out: Direction[] = [];
  for (let i = -1; i <= 1; i++) {
    for (let j = -1; j <= 1; j++) {
      for (let k = -1; k <= 1; k++) {
        if (i === 0 && j === 0 && k === 0) continue;
        const r = Math.hypot(i, j, k);
        out.push([i / r, j / r, k / r]);
      }
    }
  }
  // Low and oblique looks, as one takes them to see under the free board.
  for (const a of [-1, 1]) for (const [x, z] of [[0.55, 0.25], [-0.55, 0.25], [0.4, -0.3], [0, 0.3], [0, 0.12]]) out.push(unitOf(x, a, z));
  out.push(unitOf(1, 0, 0.2), unitOf(-1, 0, -0.25), unitOf(0.35, 0, 1), unitOf(-0.35, 0, 1));
  if (view === 'front') return out.filter((d) => d[2] > 0.2);
  if (view === 'no-back') return out.filter((d) => d[2] > -0.05);
  return out;
}

function unitOf(x: number, y: number, z: number): Direction {
  const r = Math.hypot(x, y, z);
  return [x / r, y / r, z / r];
}

function cutView(seen: Uint8Array, p: Float64Array, labels: Uint8Array, view: View, length: number): void {
  for (let i = 0; i < seen.length; i++) {
    if (view === 'top-half' && p[3 * i] > 0.52 * length) seen[i] = 0;
    if (view === 'no-scroll' && (labels[i] === PART.scroll || labels[i] === PART.pegbox || labels[i] === PART.pegs)) seen[i] = 0;
  }
}

/** Loses round patches on the board and on the varnish. */
function punchHoles(seen: Uint8Array, p: Float64Array, labels: Uint8Array, settings: ScanSettings, random: Random): void {
  const { count, radius } = settings.holes;
  for (let h = 0; h < count; h++) {
    let centre = -1;
    for (let tries = 0; tries < 200 && centre < 0; tries++) {
      const i = Math.floor(random.uniform() * seen.length);
      const dark = labels[i] === PART.playingSurface || labels[i] === PART.boardSideBass || labels[i] === PART.boardSideTreble;
      if (seen[i] && (dark || random.uniform() < 0.25)) centre = i;
    }
    if (centre < 0) return;
    const r2 = (radius * (0.3 + 0.7 * random.uniform())) ** 2;
    const stretch = 1 + 2 * random.uniform();
    for (let i = 0; i < seen.length; i++) {
      const dx = (p[3 * i] - p[3 * centre]) / stretch;
      const dy = p[3 * i + 1] - p[3 * centre + 1];
      const dz = p[3 * i + 2] - p[3 * centre + 2];
      if (dx * dx + dy * dy + dz * dz < r2) seen[i] = 0;
    }
  }
}

/** Leaves out what is not seen: points, and triangles with a corner that is not seen. */
export function keepSeen(p: Float64Array, triangles: Uint32Array, seen: Uint8Array): { positions: Float64Array; triangles: Uint32Array; from: Uint32Array } {
  const used = new Uint8Array(seen.length);
  let corners = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    if (!seen[triangles[t]] || !seen[triangles[t + 1]] || !seen[triangles[t + 2]]) continue;
    corners += 3;
    for (let k = 0; k < 3; k++) used[triangles[t + k]] = 1;
  }
  const index = new Uint32Array(seen.length);
  let n = 0;
  for (let i = 0; i < used.length; i++) if (used[i]) index[i] = n++;
  const positions = new Float64Array(3 * n);
  const from = new Uint32Array(n);
  for (let i = 0; i < used.length; i++) {
    if (!used[i]) continue;
    from[index[i]] = i;
    for (let k = 0; k < 3; k++) positions[3 * index[i] + k] = p[3 * i + k];
  }
  const kept = new Uint32Array(corners);
  for (let t = 0, w = 0; t < triangles.length; t += 3) {
    if (!seen[triangles[t]] || !seen[triangles[t + 1]] || !seen[triangles[t + 2]]) continue;
    for (let k = 0; k < 3; k++) kept[w++] = index[triangles[t + k]];
  }
  return { positions, triangles: kept, from };
}

function addNoise(p: Float64Array, normals: Float64Array, settings: ScanSettings, random: Random): Float64Array {
  const out = p.slice();
  const white = random.fork('white');
  const { amplitude, length, kernel } = settings.correlated;
  const field = sampleField(p, amplitude, length, random.fork('field'), kernel);
  for (let i = 0; i < p.length; i += 3) {
    const e = settings.sigma * white.normal() + field[i / 3];
    for (let k = 0; k < 3; k++) out[i + k] += e * normals[i + k];
  }
  return out;
}

/** Throws single points off the surface by up to 15 mm. */
function addWildPoints(p: Float64Array, labels: Uint8Array, settings: ScanSettings, random: Random): void {
  const n = labels.length;
  const wild = Math.round(settings.outliers.share * n);
  for (let w = 0; w < wild; w++) {
    const i = Math.floor(random.uniform() * n);
    for (let k = 0; k < 3; k++) p[3 * i + k] += 5 * random.normal();
    labels[i] = PART.stray;
  }
}

/** Drawing coordinates in mm to the scan's unit and pose. */
function drawPose(settings: ScanSettings, random: Random): Motion {
  const scale = 1 / MM_PER[settings.unit];
  if (settings.pose === 'drawing') return motionFromAxes([1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, 0], scale);
  // A random rotation from a normalised quaternion of normals.
  const q = [random.normal(), random.normal(), random.normal(), random.normal()];
  const r = Math.hypot(...q);
  const [w, x, y, z] = q.map((v) => v / r);
  const rows: Vec3[] = [
    [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
    [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
    [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
  ];
  const offset: Vec3 = [300 * random.normal(), 300 * random.normal(), 300 * random.normal()];
  return motionFromAxes(rows[0], rows[1], rows[2], offset, scale);
}
