import { random } from '../../src/numerics/random.ts';
import { type InstrumentSpec, randomSpec } from '../../src/samples/instrument.ts';

/** A violin without any distortion, its board square to its body: what closed formulas can be held against. */
export function plainViolin(): InstrumentSpec {
  const spec = randomSpec('violin', 'modern', random('plain'));
  const none = { bend: 0, sway: 0, skew: 0, lopsided: 0, twist: 0, bow: 0, cup: 0, swell: 0, swellAt: 0, crestWave: 0, crestPhase: 0 };
  return {
    ...spec,
    body: { ...spec.body, distortion: none, fHoles: { ...spec.body.fHoles, notchBass: 196.5, notchTreble: 196.5 } },
    neck: {
      ...spec.neck,
      offset: 0,
      yaw: 0,
      roll: 0,
      twist: 0,
      hump: 0,
      fillet: 0,
      board: {
        ...spec.neck.board,
        flareBass: 0,
        flareTreble: 0,
        thinning: 0,
        undercut: 0,
        scoopBass: 0.6,
        scoopCentre: 0.6,
        scoopTreble: 0.6,
      },
    },
  };
}
