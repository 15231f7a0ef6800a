import type { Random } from '../numerics/random.ts';
import { buildBody } from './body.ts';
import { meshBody } from './body-mesh.ts';
import { filletMesh } from './fillet-mesh.ts';
import { meshFittings } from './fittings.ts';
import type { Dress, InstrumentSpec, ModelClass, ModelInstrument, ModelSet } from './model-instrument.ts';
import { buildNeck } from './neck.ts';
import { meshNeck } from './neck-mesh.ts';
import { randomInstrument } from './random-spec.ts';
import { joinMeshes, movedMesh, type SurfaceMesh } from './surface-mesh.ts';

export type { Dress, InstrumentSpec, ModelClass, ModelInstrument, ModelSet } from './model-instrument.ts';

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

/** The noise-free surface as triangles with points about `spacing` mm apart, in drawing coordinates. */
export function meshInstrument(instrument: ModelInstrument, spacing: number, dress: Dress): SurfaceMesh {
  const { body, neck } = instrument;
  const pieces = [meshBody(body, spacing), movedMesh(meshNeck(neck, body, spacing), neck.place), filletMesh(instrument, spacing)];
  if (dress !== 'bare') pieces.push(meshFittings(instrument, spacing, dress));
  return joinMeshes(pieces);
}
