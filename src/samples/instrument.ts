import type { Random } from '../numerics/random.ts';
import { type Body, buildBody } from './body.ts';
import { meshBody } from './body-mesh.ts';
import type { BodySpec } from './body-spec.ts';
import { filletMesh } from './fillet-mesh.ts';
import { type FittingsSpec, meshFittings } from './fittings.ts';
import { buildNeck, type Neck } from './neck.ts';
import { meshNeck } from './neck-mesh.ts';
import type { NeckSpec } from './neck-spec.ts';
import { randomInstrument } from './random-spec.ts';
import { joinMeshes, movedMesh, type SurfaceMesh } from './surface-mesh.ts';

export type ModelClass = 'violin' | 'viola' | 'cello' | 'bass';
export type ModelSet = 'modern' | 'early';

/** Everything that a model instrument is built from; mm and radians. */
export interface InstrumentSpec {
  readonly class: ModelClass;
  readonly set: ModelSet;
  readonly body: BodySpec;
  readonly neck: NeckSpec;
  readonly fittings: FittingsSpec;
}

export interface ModelInstrument {
  readonly spec: InstrumentSpec;
  readonly body: Body;
  readonly neck: Neck;
}

/**
 * An instrument as drawn by chance within what its class and set usually measure.
 *
 * @param size  share of the full size, for fractional instruments
 */
export function randomSpec(modelClass: ModelClass, set: ModelSet, random: Random, size = 1): InstrumentSpec {
  return randomInstrument(modelClass, set, random, size);
}

export function buildInstrument(spec: InstrumentSpec): ModelInstrument {
  const body = buildBody(spec.body);
  return { spec, body, neck: buildNeck(spec.neck, body) };
}

/** What an instrument wears: nothing; bridge, strings, pegs, tailpiece; the chin rest as well; the shoulder rest as well. */
export type Dress = 'bare' | 'strung' | 'fitted' | 'full';

/** The noise-free surface as triangles with points about `spacing` mm apart, in drawing coordinates. */
export function meshInstrument(instrument: ModelInstrument, spacing: number, dress: Dress): SurfaceMesh {
  const { body, neck } = instrument;
  const pieces = [meshBody(body, spacing), movedMesh(meshNeck(neck, body, spacing), neck.place), filletMesh(instrument, spacing)];
  if (dress !== 'bare') pieces.push(meshFittings(instrument, spacing, dress));
  return joinMeshes(pieces);
}
