/** Numerical standard uncertainty of the true values: sampling of outlines and profiles, mm and degrees on a violin. */
const U: Record<string, number> = {
  bodyLength: 0.003,
  widthUpper: 0.001,
  widthWaist: 0.001,
  widthLower: 0.001,
  edgeFlatnessRms: 0.0005,
  edgeFlatnessPV: 0.001,
  archHeight: 0.001,
  boardYaw: 0.0005,
  neckAngle: 0.0005,
  boardLength: 0.002,
  neckLength: 0.003,
  boardEndHeight: 0.001,
  boardWidthNut: 0.001,
  boardWidthEnd: 0.001,
  boardRadiusNut: 0.01,
  boardRadiusEnd: 0.01,
  scoopBass: 0.002,
  scoopCentre: 0.001,
  scoopTreble: 0.002,
  boardTwist: 0.001,
  boardTilt: 0.001,
  overstandBass: 0.002,
  overstandTreble: 0.002,
  overstand: 0.002,
  neckThicknessNut: 0.002,
  neckThicknessHeel: 0.002,
  heelLean: 0.005,
  heelBow: 0.002,
  stop: 0.003,
  stopRatio: 0.00002,
  projection: 0.001,
  boardOffset: 0.001,
};
const ANGLES = new Set(['neckAngle', 'boardYaw', 'boardTilt', 'boardTwist', 'heelLean', 'stopRatio']);

export function truthUncertainty(values: Record<string, number>, scale: number): Record<string, number> {
  return Object.fromEntries(Object.keys(values).map((id) => [id, (U[id] ?? 0.005) * (ANGLES.has(id) ? 1 : Math.max(1, scale))]));
}
