import type { Body } from './body.ts';
import type { BodySpec } from './body-spec.ts';
import type { FittingsSpec } from './fittings-spec.ts';
import type { Neck } from './neck.ts';
import type { NeckSpec } from './neck-spec.ts';

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
  /** The earlier state that the bridge was cut for; its own unless said. */
  readonly bridgeFor?: ModelInstrument;
}

/** What an instrument wears: nothing; bridge, strings, pegs, tailpiece; the chin rest as well; the shoulder rest as well. */
export type Dress = 'bare' | 'strung' | 'fitted' | 'full';
