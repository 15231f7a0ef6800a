import { compose, invert, type Motion } from '../geometry/motion.ts';
import { MM_PER } from '../geometry/scan.ts';
import type { Random } from '../numerics/random.ts';
import { sampleField } from '../numerics/random-field.ts';
import { innerMesh } from './inner-mesh.ts';
import { meshInstrument } from './instrument.ts';
import type { ModelInstrument } from './model-instrument.ts';
import { drawPose } from './pose.ts';
import type { ScanSettings } from './scan-settings.ts';
import { keepFaces } from './keep-faces.ts';
import { cutView, directionsOf, FROM_BEHIND, FROM_FRONT, punchHoles } from './looks.ts';
import { standMesh } from './stand-mesh.ts';
import { addStrayClusters, throwWildPoints } from './stray.ts';
import { joinMeshes, pointNormals, type SurfaceMesh } from './surface-mesh.ts';
import { thin } from './thinning.ts';
import { drawingToFrame } from './truth-frame.ts';
import { type Direction, visiblePoints } from './visibility.ts';
import { webbingMesh } from './webbing-mesh.ts';

export interface ModelScan {
  readonly settings: ScanSettings;
  /** 3n coordinates in the scan's unit and pose. */
  readonly positions: Float64Array;
  /** 3m indices; none for a cloud. */
  readonly triangles: Uint32Array | undefined;
  /** What each point lies on (`PART`). */
  readonly labels: Uint8Array;
  /** The same points without noise, in drawing coordinates (mm), and their unit normals: what the floor fit works on. */
  readonly clean: Float64Array;
  readonly normals: Float64Array;
  /** Row-major 4 × 4: scan coordinates in the scan's unit to the instrument frame in mm. */
  readonly frame: readonly number[];
}

/** Spacing of the mesh that hides what lies behind it, as a share of the body's length (1.4 mm on a violin). */
const OCCLUDER_SPACING = 0.004;

/** Takes a scan of an instrument. Equal streams give equal scans. */
export function scanInstrument(instrument: ModelInstrument, settings: ScanSettings, random: Random): ModelScan {
  const surface = seenSurface(instrument, settings, random);
  const normals = pointNormals(surface);
  const bare = settings.kind === 'cloud' ? { ...surface, triangles: new Uint32Array(0) } : surface;
  const thinned = keepFaces(bare, thin(surface.positions, normals, surface.labels, settings.thinning, random.fork('thin')));
  const scene = settings.outliers.clusters > 0 ? addStrayClusters(thinned.mesh, settings, random.fork('clusters')) : thinned.mesh;
  const labels = scene.labels.slice();
  const all = new Float64Array(scene.positions.length);
  // Normals are those of the fine surface; strays have their own.
  const own = thinned.mesh === scene ? undefined : pointNormals(scene);
  for (let i = 0; i < labels.length; i++) {
    const known = i < thinned.from.length;
    for (let k = 0; k < 3; k++) all[3 * i + k] = known ? normals[3 * thinned.from[i] + k] : (own as Float64Array)[3 * i + k];
  }
  const noisy = withNoise(scene.positions, all, settings, random);
  throwWildPoints(noisy, labels, settings, random.fork('wild'));
  const pose = drawPose(settings, random.fork('pose'));
  const mirrored = settings.pose === 'mirrored';
  const positions = rounded(moved(noisy, pose), settings);
  return {
    settings,
    positions,
    triangles: settings.kind === 'mesh' ? (mirrored ? turnedOver(scene.triangles) : scene.triangles) : undefined,
    labels,
    clean: scene.positions,
    normals: all,
    frame: [...compose(drawingToFrame(instrument), invert(pose)), 0, 0, 0, 1],
  };
}

/** What the scanner sees of instrument and stand, without noise. */
function seenSurface(instrument: ModelInstrument, settings: ScanSettings, random: Random): SurfaceMesh {
  const length = instrument.spec.body.outline.length;
  const stand = random.fork('stand');
  const coarse = Math.max(settings.spacing, OCCLUDER_SPACING * length);
  const whole = (spacing: number) => {
    const pieces = [meshInstrument(instrument, spacing, settings.fittings)];
    // The same stream twice: the stand stands where it stood.
    if (settings.stand !== 'none') pieces.push(standMesh(instrument, settings.stand, spacing, stand.fork('shape')));
    return joinMeshes(pieces);
  };
  const mesh = whole(settings.spacing);
  const occluder = coarse > settings.spacing ? whole(coarse) : mesh;
  const normals = pointNormals(mesh);
  const look = (directions: readonly Direction[]): SurfaceMesh => {
    const seen = visiblePoints(mesh.positions, normals, occluder, directions, coarse, 0.25 * coarse);
    cutView(seen, mesh.positions, mesh.labels, settings.view, length);
    punchHoles(seen, mesh.positions, mesh.labels, settings, random.fork('holes'));
    return keepFaces(
      mesh,
      Int32Array.from(seen, (s, i) => (s ? i : -1)),
    ).mesh;
  };
  const directions = directionsOf(settings.view);
  const shells =
    settings.shells === 'one' ? [look(directions)] : [look(directions.filter(FROM_FRONT)), look(directions.filter(FROM_BEHIND))];
  if (settings.inner === 'shown') shells.push(innerMesh(instrument, settings.spacing));
  if (settings.webbing > 0 && settings.fittings !== 'bare')
    shells.push(webbingMesh(instrument, settings.webbing, settings.spacing, random.fork('webbing')));
  return shells.length === 1 ? shells[0] : joinMeshes(shells);
}

/** White and correlated error along the normals. */
function withNoise(p: Float64Array, normals: Float64Array, settings: ScanSettings, random: Random): Float64Array {
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

function moved(p: Float64Array, m: Motion): Float64Array {
  const out = new Float64Array(p.length);
  for (let i = 0; i < p.length; i += 3)
    for (let k = 0; k < 3; k++) out[i + k] = m[4 * k] * p[i] + m[4 * k + 1] * p[i + 1] + m[4 * k + 2] * p[i + 2] + m[4 * k + 3];
  return out;
}

/** Coordinates as an export with few digits gives them. */
function rounded(p: Float64Array, settings: ScanSettings): Float64Array {
  if (settings.step === 0) return p;
  const q = 2 ** Math.floor(Math.log2(settings.step / MM_PER[settings.unit]));
  for (let i = 0; i < p.length; i++) p[i] = Math.round(p[i] / q) * q;
  return p;
}

function turnedOver(triangles: Uint32Array): Uint32Array {
  const out = triangles.slice();
  for (let t = 0; t < out.length; t += 3) {
    out[t] = triangles[t + 1];
    out[t + 1] = triangles[t];
  }
  return out;
}
