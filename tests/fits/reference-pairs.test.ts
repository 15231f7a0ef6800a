import { describe, expect, it } from 'vitest';
import { fitCircle } from '../../src/fits/circle.ts';
import { fitCone } from '../../src/fits/cone.ts';
import { fitCylinder } from '../../src/fits/cylinder.ts';
import { fitLine2d, fitLine3d } from '../../src/fits/line.ts';
import { fitPlane } from '../../src/fits/plane.ts';
import { cross, dot, norm, subtract, type Vec3 } from '../../src/geometry/vec3.ts';
import { referencePair } from './reference-pair.ts';

// NIST L2 reference pairs (READ; see tests/data/reference/README.md). They serve self-checking only, not in lieu of independent testing.
// NIST states its fits to be right to every digit printed; the tolerances are what double precision leaves of coordinates of some 100 mm.

/** Sine of the angle between two directions, up to sign. */
const sineBetween = (a: Vec3, b: Vec3): number => norm(cross(a, b));
/** Distance of a point from a line. */
const fromLine = (p: Vec3, on: Vec3, direction: Vec3): number => norm(cross(subtract(p, on), direction));
const vec = (fit: readonly number[], at: number): Vec3 => [fit[at], fit[at + 1], fit[at + 2]];

describe('NIST L2 reference pairs', () => {
  it('plane pla7', () => {
    const { points, fit } = referencePair('pla7');
    const found = fitPlane(points);
    expect(sineBetween(found.normal, vec(fit, 3))).toBeLessThan(1e-14);
    expect(Math.abs(dot(subtract(found.centroid, vec(fit, 0)), vec(fit, 3)))).toBeLessThan(1e-12);
  });

  it('line in space lin8', () => {
    const { points, fit } = referencePair('lin8');
    const found = fitLine3d(points);
    expect(sineBetween(found.direction, vec(fit, 3))).toBeLessThan(1e-14);
    expect(fromLine(found.centroid, vec(fit, 0), vec(fit, 3))).toBeLessThan(1e-11);
  });

  it('line in a plane lin2d9', () => {
    const { points, fit } = referencePair('lin2d9');
    const found = fitLine2d([points[0], points[1], points[3], points[4]]);
    expect(sineBetween([...found.direction, 0], vec(fit, 3))).toBeLessThan(1e-14);
    expect(fromLine([...found.centroid, points[2]], vec(fit, 0), vec(fit, 3))).toBeLessThan(1e-12);
  });

  it.each(['cir7', 'cir25'])('circle in space %s: plane first, then the circle in the projection', (name) => {
    const { points, fit } = referencePair(name);
    const plane = fitPlane(points);
    const flat: number[] = [];
    for (let i = 0; i < points.length; i += 3) {
      const d = subtract([points[i], points[i + 1], points[i + 2]], plane.centroid);
      flat.push(dot(d, plane.u), dot(d, plane.v));
    }
    const circle = fitCircle(flat);
    const centre = plane.centroid.map((c, k) => c + circle.centre[0] * plane.u[k] + circle.centre[1] * plane.v[k]);
    for (let k = 0; k < 3; k++) expect(centre[k]).toBeCloseTo(fit[k], 9);
    expect(sineBetween(plane.normal, vec(fit, 3))).toBeLessThan(1e-11);
    expect(2 * circle.radius).toBeCloseTo(fit[6], 9);
  });

  it.each(['cyl23', 'cyl29'])('cylinder %s', (name) => {
    const { points, fit } = referencePair(name);
    const found = fitCylinder(points);
    expect(sineBetween(found.axis, vec(fit, 3))).toBeLessThan(1e-9);
    expect(fromLine(found.point, vec(fit, 0), vec(fit, 3))).toBeLessThan(1e-8);
    expect(2 * found.radius).toBeCloseTo(fit[6], 8);
  });

  it.each(['con17', 'con19', 'con24'])('cone %s', (name) => {
    const { points, fit } = referencePair(name);
    const found = fitCone(points);
    // The direction of growth counts: no freedom of sign.
    expect(norm(subtract(found.axis, vec(fit, 3)))).toBeLessThan(1e-8);
    expect(fromLine(found.point, vec(fit, 0), vec(fit, 3))).toBeLessThan(1e-7);
    expect((2 * found.halfAngle * 180) / Math.PI).toBeCloseTo(fit[7], 6);
    // Distance from the surface, carried along the axis to NIST's own point.
    const lift = dot(subtract(vec(fit, 0), found.point), found.axis);
    expect(found.distance + lift * Math.sin(found.halfAngle)).toBeCloseTo(fit[6], 7);
  });
});
