import type { AccumulatedFit, NormalEquations } from '../../numerics/normal-equations.ts';

/** The fit, or `undefined` where the points leave a coefficient open: a part that is seen too little is not found, which is no fault. */
export function solveIfDetermined(equations: NormalEquations): AccumulatedFit | undefined {
  try {
    return equations.solve();
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}
