import { entryOf, GROUPS, type PlanEntry, type StudyGroup } from './plan.ts';

/** Coarser than the study, so that making and measuring take a few seconds a scan; mm on a violin. */
export const SUBSET_SPACING = 0.8;

/** Draws of its own: no scan of the study is among them. */
const COARSE: Readonly<Record<'clean' | 'ordinary', StudyGroup>> = {
  clean: coarse('clean', 9000),
  ordinary: coarse('ordinary', 9100),
};

/** The few scans that `npm test` measures: three meshes in mm and m, and a cloud in inches. */
export const SUBSET: readonly PlanEntry[] = [
  entryOf(COARSE.clean, 'a', 0),
  entryOf(COARSE.clean, 'b', 2),
  entryOf(COARSE.ordinary, 'a', 1),
  entryOf(COARSE.ordinary, 'b', 3),
];

function coarse(name: string, firstDraw: number): StudyGroup {
  const group = GROUPS.find((g) => g.name === name);
  if (group === undefined) throw new Error(`the study has no group "${name}"`);
  return { ...group, name: `coarse-${name}`, firstDraw, conditions: { ...group.conditions, spacing: SUBSET_SPACING } };
}
