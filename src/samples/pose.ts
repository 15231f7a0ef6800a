import { type Motion, motionFromAxes } from '../geometry/motion.ts';
import { MM_PER } from '../geometry/scan.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import type { Random } from '../numerics/random.ts';
import type { ScanSettings } from './scan-settings.ts';

/** Usual distance of a scan from its origin, and that of a scan in a survey's coordinates; mm. */
const NEAR = 300;
const FAR = 1e6;

/** Drawing coordinates in mm to the scan's unit and pose. */
export function drawPose(settings: ScanSettings, random: Random): Motion {
  const scale = (1 + settings.scaleError) / MM_PER[settings.unit];
  if (settings.pose === 'drawing') return motionFromAxes([1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, 0], scale);
  // A rotation, every one as likely as any other, from a normalised quaternion of normals.
  const q = [random.normal(), random.normal(), random.normal(), random.normal()];
  const r = Math.hypot(...q);
  const [w, x, y, z] = q.map((v) => v / r);
  const flip = settings.pose === 'mirrored' ? -1 : 1;
  const rows: Vec3[] = [
    [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
    [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
    [flip * 2 * (x * z - w * y), flip * 2 * (y * z + w * x), flip * (1 - 2 * (x * x + y * y))],
  ];
  const reach = settings.pose === 'far' ? FAR : NEAR;
  return motionFromAxes(rows[0], rows[1], rows[2], [reach * random.normal(), reach * random.normal(), reach * random.normal()], scale);
}
