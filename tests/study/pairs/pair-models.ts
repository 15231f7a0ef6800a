import type { PairModel } from './pair-model.ts';
import { pairModelA } from './pair-model-a.ts';
import { pairModelB } from './pair-model-b.ts';
import type { PairModelName } from './pair-plan.ts';

export const PAIR_MODELLED: Readonly<Record<PairModelName, PairModel>> = { a: pairModelA, b: pairModelB };
