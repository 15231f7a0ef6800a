import type { Body } from './body.ts';

/** z of the button's outer face: the back's outer crest, carried on. */
export const buttonFaceZ = (body: Body): number => body.backZ(0, 0, body.spec.crestInset);
