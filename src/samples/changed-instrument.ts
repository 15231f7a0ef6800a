import { applyToPoints, invert } from '../geometry/motion.ts';
import { buildBody } from './body.ts';
import type { ModelInstrument } from './model-instrument.ts';
import { type NeckChange, type NeckPlaces, neckMover } from './neck-change.ts';
import { heelTruth } from './truth-heel.ts';
import { trueFrame } from './truth-frame.ts';
import { framedSurface } from './truth-surface.ts';
import { instrumentTruth } from './truth.ts';

/** All that may change between two scans of one instrument. */
export interface InstrumentChange {
  readonly neck: NeckChange;
  /** Wood planed off the board's playing surface, mm: at the nut and at its end, straight between. */
  readonly planed: { readonly nut: number; readonly end: number };
  /** Rise of the top's arch in its middle, mm. */
  readonly swell: number;
}

/** The same instrument after a change; neck and board keep their drawing and are placed anew. */
export function changedInstrument(instrument: ModelInstrument, change: InstrumentChange): ModelInstrument {
  const { neck, spec } = instrument;
  const { motion } = trueFrame(instrument);
  const back = invert(motion);
  const move = neckMover(change.neck, neckPlaces(instrument));
  const { planed } = change;
  const share = (x: number) => (x - neck.boardStart) / (neck.boardEnd - neck.boardStart);
  const distortion = { ...spec.body.distortion, swell: spec.body.distortion.swell + change.swell };
  const body = change.swell === 0 ? instrument.body : buildBody({ ...spec.body, distortion });
  return {
    spec: { ...spec, body: body.spec },
    body,
    neck: {
      ...neck,
      surfaceZ: (x, y) => neck.surfaceZ(x, y) - planed.nut - (planed.end - planed.nut) * share(x),
      place: (p) => {
        // Neck coordinates: the glue line is z = 0, what lies below is wood.
        const kind = p[2] < 0 && p[0] > neck.boardStart ? 'wood' : 'rigid';
        neck.place(p);
        applyToPoints(motion, p, p);
        move(p, kind);
        applyToPoints(back, p, p);
      },
    },
  };
}

/** Where heel and neck of an instrument are, in its true frame. */
export function neckPlaces(instrument: ModelInstrument): NeckPlaces {
  const { neck, spec } = instrument;
  const surface = framedSurface(instrument);
  const { secondary } = heelTruth(surface);
  const heelPlane = neck.contour[neck.heelFrom] as readonly [number, number];
  const throat = neck.contour[neck.throatFrom] as readonly [number, number];
  const heel = surface.neckPoint(heelPlane[0], 0, heelPlane[1]);
  const foot = neck.contour[neck.contour.length - 1] as readonly [number, number];
  const low = surface.lowerArris(heelPlane[0], 1)[2] - secondary.heelHeight;
  return {
    low,
    height: secondary.heelHeight,
    axisX: surface.neckPoint(foot[0], 0, foot[1])[0] / 2,
    heelX: heel[0],
    throatX: surface.neckPoint(throat[0], 0, throat[1])[0],
    neckLength: instrumentTruth(instrument).values.neckLength * Math.cos(spec.neck.bedAngle),
  };
}
