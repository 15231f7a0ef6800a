import { MEASURAND, type MeasureId } from '../../src/measurands/measurands.ts';
import type { Figures, MeasureResult, Quality, Quantity } from '../../src/measures/result.ts';

/** Values of an invented violin: mm and degrees, as the measurands define them. */
const VALUES: Partial<Record<MeasureId, readonly [value: number, u: number]>> = {
  neckAngle: [7.1234, 0.0081],
  projection: [27.3456, 0.0412],
  boardEndHeight: [19.1, 0.04],
  overstand: [6.0123, 0.031],
  overstandBass: [6.05, 0.044],
  overstandTreble: [5.97, 0.044],
  boardOffset: [-0.42, 0.05],
  boardYaw: [-0.11, 0.02],
  boardTilt: [0.3, 0.08],
  boardLength: [269.8, 0.12],
  boardWidthNut: [24.1, 0.06],
  boardWidthEnd: [42.2, 0.07],
  boardRadiusNut: [41.7, 0.9],
  scoopCentre: [0.81, 0.02],
  neckLength: [130.2, 0.1],
  stop: [195.1, 0.24],
  stopRatio: [0.6674, 0.001],
  heelLean: [3.4, 0.12],
  bodyLength: [354.9, 0.25],
  widthLower: [206.3, 0.1],
  archHeight: [14.9, 0.05],
};

const quantity = (id: MeasureId, value: number, u: number, quality: Quality = 'good'): Quantity => ({
  value,
  unit: MEASURAND.get(id)?.unit ?? 'mm',
  u,
  U95: 1.96 * u,
  basis: 'measured',
  quality,
  budget: [
    { source: 'edge plane', u: 0.6 * u },
    { source: 'long-wave error', u: 0.8 * u, assumed: true },
  ],
});

/** What measuring an invented violin yields; `shift` is added to every length and angle. */
export function modelResult(shift = 0): MeasureResult {
  const measures: Partial<Record<MeasureId, Quantity>> = {};
  for (const [id, [value, u]] of Object.entries(VALUES) as [MeasureId, readonly [number, number]][]) {
    measures[id] = quantity(id, value + shift, u, id === 'boardTilt' ? 'fair' : id === 'boardRadiusNut' ? 'poor' : 'good');
  }
  return {
    unit: { value: 'mm', basis: 'inferred' },
    class: { value: 'violin', basis: 'inferred' },
    station: { x: 195.1 + shift, source: 'notches' },
    frame: [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1],
    measures,
    absent: [
      { measure: 'heelBow', reason: 'the heel is not in the scan' },
      { measure: 'boardTwist', reason: 'the arris at the nut is hidden by the strings' },
    ],
    warnings: ['the edge is worn at the upper treble corner'],
    survey: { sigma: 0.031, spacing: 0.52, extent: [590, 207, 92], coverage: { top: 0.98, board: 0.91, heel: 0 } },
    figures: modelFigures(shift),
  };
}

/** A violin's outline by its half-widths along the body, and the heights of top and back: plain curves, enough to draw. */
const LENGTH = 355;
const HALF_WIDTHS: readonly (readonly [number, number])[] = [
  [0, 0],
  [3, 40],
  [20, 66],
  [65, 84],
  [115, 72],
  [137, 62],
  [145, 58],
  [180, 56],
  [215, 60],
  [222, 78],
  [232, 84],
  [280, 103],
  [325, 88],
  [348, 55],
  [355, 0],
];

function modelFigures(shift: number): Figures {
  const upper: number[] = [];
  for (const [x, half] of smooth(HALF_WIDTHS)) upper.push(x, half);
  const lower: number[] = [];
  for (let i = upper.length - 2; i >= 0; i -= 2) lower.push(upper[i] as number, -(upper[i + 1] as number));
  const top = (x: number): number => 15 * Math.sin((Math.PI * x) / LENGTH) ** 0.6;
  const slope = Math.tan((7.1234 * Math.PI) / 180);
  const z0 = 27.3456 + shift + top(195.1) - slope * 195.1;
  const topCentre: number[] = [];
  const section: number[] = [];
  for (let x = 0; x <= LENGTH; x += 2.5) {
    topCentre.push(x, top(x));
    section.push(x, top(x), x, -33 - 15 * Math.sin((Math.PI * x) / LENGTH) ** 0.6);
  }
  const boardRidge: number[] = [];
  for (let x = -130; x <= 139; x += 3) boardRidge.push(x, z0 + slope * x - 0.8 * (1 - ((x - 4.5) / 134.5) ** 2));
  for (let x = -128; x <= -22; x += 1) section.push(x, z0 + slope * x - 19 - 0.03 * (x + 130));
  const heelContour: number[] = [];
  for (let z = -33; z <= -2; z += 1) heelContour.push(-20 - 0.06 * z + 0.02 * (z + 17) ** 2 - 5, z);
  const points: number[] = [];
  for (let i = 0; i < upper.length; i += 2)
    for (let k = -4; k <= 4; k++) points.push(upper[i] as number, ((upper[i + 1] as number) * k) / 4, 5);
  return {
    outline: [...upper, Number.NaN, Number.NaN, ...lower],
    section,
    topCentre,
    boardLine: { z0, slope, from: -129.2, to: 195.1 },
    boardRidge,
    heelContour,
    points,
  };
}

/** Cosine interpolation between knots, every 2.5 mm or so. */
function smooth(knots: readonly (readonly [number, number])[]): (readonly [number, number])[] {
  return knots.slice(1).flatMap(([x1, y1], i) => {
    const [x0, y0] = knots[i] as readonly [number, number];
    const steps = Math.max(1, Math.round((x1 - x0) / 2.5));
    return Array.from({ length: steps }, (_, k) => {
      const t = k / steps;
      return [x0 + t * (x1 - x0), y0 + (y1 - y0) * (0.5 - 0.5 * Math.cos(Math.PI * t))] as const;
    });
  });
}
