import type { MeasureId } from '../measurands/measurands.ts';
import type { InstrumentClass } from './family.ts';
import type { Quality } from './result.ts';

/**
 * Half-widths of the 95 % interval up to which a value is `good`: what the trade can use it for. Angles: 0.3° of neck angle is 1 mm of projection on a violin, the least
 * that is set on purpose; a third of it is good. Lengths on a violin, mm: rulers read to 0.5 mm, a good value is clearly better where the eye is (projection,
 * overstand) and as good where features are blunt (joint, notch). Three times as wide is `fair`, wider is `poor`. Lengths grow with the instrument.
 */
const GOOD: Partial<Record<MeasureId, number>> = {
  neckAngle: 0.1,
  boardYaw: 0.15,
  boardTilt: 0.5,
  boardTwist: 0.5,
  heelLean: 0.7,
  bedAngle: 0.2,
  boardWedge: 0.25,
  stringAngle: 0.7,
  bridgeLean: 1,
  projection: 0.35,
  boardEndHeight: 0.3,
  overstand: 0.3,
  overstandBass: 0.4,
  overstandTreble: 0.4,
  boardOffset: 0.4,
  boardWidthNut: 0.4,
  boardWidthEnd: 0.4,
  boardRadiusNut: 4,
  boardRadiusEnd: 4,
  scoopBass: 0.2,
  scoopCentre: 0.15,
  scoopTreble: 0.2,
  heelBow: 0.15,
  neckThicknessNut: 0.3,
  neckThicknessHeel: 0.3,
  archHeight: 0.3,
  edgeFlatnessRms: 0.1,
  edgeFlatnessPV: 0.3,
  neckLength: 1,
  stop: 1.5,
  stopBass: 1.5,
  stopTreble: 1.5,
  notchOffset: 1,
  stopRatio: 0.012,
  boardLength: 1,
  bodyLength: 1.2,
};
const GOOD_LENGTH = 0.6;
/** Fair is up to this many times good. */
const FAIR = 3;
/** How much larger than a violin's the lengths of a class are, for the same use. */
const LENGTH_FACTOR: Readonly<Record<InstrumentClass, number>> = { violin: 1, viola: 1.15, cello: 2, bass: 3 };

export function qualityOf(id: MeasureId, unit: 'mm' | 'deg' | '1', halfWidth: number, instrumentClass: InstrumentClass): Quality {
  const good = (GOOD[id] ?? GOOD_LENGTH) * (unit === 'mm' ? LENGTH_FACTOR[instrumentClass] : 1);
  return halfWidth <= good ? 'good' : halfWidth <= FAIR * good ? 'fair' : 'poor';
}
