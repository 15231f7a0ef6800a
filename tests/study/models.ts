import { modelA } from './model-a.ts';
import { modelB } from './model-b.ts';
import type { Model, PlanEntry } from './plan.ts';
import type { ModelledScan } from './study-truth.ts';

export const MODELLED: Readonly<Record<Model, (entry: PlanEntry) => ModelledScan>> = { a: modelA, b: modelB };
