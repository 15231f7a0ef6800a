import { applyToPoints, compose, identity, invert, type Motion } from '../geometry/motion.ts';
import { blockMotion, blockMover, type BlockTurn } from './block-turn.ts';
import { type BoardChange, changeBoard, NO_BOARD_CHANGE } from './board-change.ts';
import { type Body, buildBody } from './body.ts';
import type { ModelInstrument } from './model-instrument.ts';
import { buildNeck, type Neck } from './neck.ts';
import { type NeckChange, neckMotion, neckMover, type NeckPlaces, NO_NECK_CHANGE } from './neck-change.ts';
import type { HeelSpec, NeckSpec } from './neck-spec.ts';
import { boardTruth } from './truth-board.ts';
import { heelTruth } from './truth-heel.ts';
import { trueFrame } from './truth-frame.ts';
import { framedSurface } from './truth-surface.ts';
import { instrumentTruth } from './truth.ts';

/** All that may change between two states of one instrument. */
export interface InstrumentChange {
  readonly neck: NeckChange;
  /** Turn of the upper block about y, radians, positive when the scroll rises: the neck's root turns with it, besides what `neck` says. */
  readonly block: number;
  readonly board: BoardChange;
  /** Rise of the top's arch in its middle, mm. */
  readonly swell: number;
  /** A heel that was recut: its new contour. */
  readonly recut?: Partial<Pick<HeelSpec, 'lean' | 'bow'>>;
}

export const NO_CHANGE: InstrumentChange = { neck: NO_NECK_CHANGE, block: 0, board: NO_BOARD_CHANGE, swell: 0 };

/** The same instrument after a change; neck and board keep their drawing and are placed anew. */
export function changedInstrument(instrument: ModelInstrument, change: InstrumentChange): ModelInstrument {
  const { spec } = instrument;
  const { motion } = trueFrame(instrument);
  const back = invert(motion);
  const body = changedBody(instrument, change);
  const neck = changedNeck(instrument, change);
  const move = neckMover(change.neck, neckPlaces(instrument));
  const byBlock = blockMotion(blockTurn(instrument, change.block));
  // A reset neck and a new board get a new bridge; otherwise the bridge stands where it stood.
  const bridge = change.recut === undefined && change.board.replaced === undefined ? { bridgeFor: instrument } : {};
  return {
    spec: { ...spec, body: body.spec, neck: neck.spec },
    ...bridge,
    body,
    neck: {
      ...neck,
      place: (p) => {
        // Neck coordinates: the glue line is z = 0, what lies below is wood.
        const kind = p[2] < 0 && p[0] > neck.boardStart ? 'wood' : 'rigid';
        neck.place(p);
        applyToPoints(motion, p, p);
        move(p, kind);
        if (change.block !== 0) applyToPoints(byBlock, p, p);
        applyToPoints(back, p, p);
      },
    },
  };
}

/** The rigid motion of the neck's wood in the instrument frame of the first state, before any registration. */
export function woodMotion(instrument: ModelInstrument, change: InstrumentChange): Motion {
  return compose(blockPart(instrument, change), neckMotion(change.neck, neckPlaces(instrument)));
}

/** The motion of the upper block in the same frame. */
export const blockPart = (instrument: ModelInstrument, { block }: InstrumentChange): Motion =>
  block === 0 ? identity() : blockMotion(blockTurn(instrument, block));

function blockTurn(instrument: ModelInstrument, angle: number): BlockTurn {
  const { edgeThickness, ribUpper } = instrument.spec.body;
  return { angle, bodyLength: trueFrame(instrument).bodyLength, middle: -edgeThickness - ribUpper / 2 };
}

function changedBody(instrument: ModelInstrument, change: InstrumentChange): Body {
  const { spec } = instrument;
  const { distortion } = spec.body;
  const body =
    change.swell === 0
      ? instrument.body
      : buildBody({ ...spec.body, distortion: { ...distortion, swell: distortion.swell + change.swell } });
  if (change.block === 0) return body;
  const { motion } = trueFrame(instrument);
  const back = invert(motion);
  const move = blockMover(blockTurn(instrument, change.block));
  return {
    ...body,
    deform: (p) => {
      body.deform(p);
      applyToPoints(motion, p, p);
      move(p);
      applyToPoints(back, p, p);
    },
  };
}

function changedNeck({ spec, body, neck }: ModelInstrument, change: InstrumentChange): Neck {
  const build = (s: NeckSpec) => buildNeck(s, body);
  const heel = { ...spec.neck.heel, ...change.recut };
  const recut = change.recut === undefined ? neck : { ...neck, ...contourOf(build({ ...spec.neck, heel })) };
  return change.board === NO_BOARD_CHANGE ? recut : changeBoard(recut, change.board, build);
}

const contourOf = ({ spec, contour, throatFrom, heelFrom }: Neck) => ({ spec, contour, throatFrom, heelFrom });

/** Where heel and neck of an instrument are, in its true frame. */
export function neckPlaces(instrument: ModelInstrument): NeckPlaces {
  const { neck } = instrument;
  const surface = framedSurface(instrument);
  const { secondary } = heelTruth(surface);
  const heelPlane = neck.contour[neck.heelFrom] as readonly [number, number];
  const throat = neck.contour[neck.throatFrom] as readonly [number, number];
  const heel = surface.neckPoint(heelPlane[0], 0, heelPlane[1]);
  const foot = neck.contour[neck.contour.length - 1] as readonly [number, number];
  const { values } = instrumentTruth(instrument);
  const low = surface.lowerArris(heelPlane[0], 1)[2] - secondary.heelHeight;
  return {
    low,
    height: secondary.heelHeight,
    axisX: surface.neckPoint(foot[0], 0, foot[1])[0] / 2,
    heelX: heel[0],
    throatX: surface.neckPoint(throat[0], 0, throat[1])[0],
    boardLine: boardTruth(surface).line,
    neckLength: values.neckLength,
  };
}
