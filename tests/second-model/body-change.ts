import { type Body, smooth } from './body.ts';
import type { Change } from './change.ts';
import type { TrueFrame } from './frame.ts';
import { type Rigid, STAY, turn } from './rigid.ts';

/** the block's part of the body, and where its turn has died out: shares of the body's length from the joint */
export const BLOCK_SHARE = 0.12;
const BLOCK_FADE = 0.25;
const NODES = 4000;
const RAD = Math.PI / 180;

export function fromFrame(frame: TrueFrame, x: number, y: number, z: number, out: Float64Array): void {
  const [a, b, c] = frame.axes;
  for (let i = 0; i < 3; i++) out[i] = frame.origin[i] + a[i] * x + b[i] * y + c[i] * z;
}

/** The body after the change, and the motion of its upper block in the baseline's frame. */
export function changedBody(body: Body, frame: TrueFrame, change: Change): { readonly body: Body; readonly block: Rigid } {
  const swollen = change.arch === 0 ? body : swell(body, change.arch);
  return change.block === 0 ? { body: swollen, block: STAY } : turnBlock(swollen, frame, change.block * RAD);
}

/** Moist wood: the arch rises most in its middle, nothing at the channel. */
function swell(body: Body, by: number): Body {
  const k = body.scale;
  const share = (x: number, d: number): number => {
    const q = Math.max(-1, Math.min(1, (2 * x) / body.dims.body - 1));
    return (1 - q * q) ** 2 * smooth((d - 8 * k) / (40 * k));
  };
  return { ...body, top: (x, y, d) => body.top(x, y, d) + by * share(x, d) };
}

/**
 * The body bends like a beam: the cross-section at x turns by the block's angle up to 12 % of the length, less beyond, and the
 * axis at half the ribs' height is the integral of that. What lies beyond the fade stays.
 */
function turnBlock(body: Body, frame: TrueFrame, angle: number): { readonly body: Body; readonly block: Rigid } {
  const [x1, x2] = [BLOCK_SHARE * frame.bodyLength, BLOCK_FADE * frame.bodyLength];
  const p = new Float64Array(3);
  frame.to(frame.origin[0], frame.origin[1], -body.edge - body.dims.rib / 2, p);
  const zAxis = p[2];
  const theta = (x: number): number => angle * (1 - smooth((x - x1) / (x2 - x1)));
  // the axis from x2 back to x1, by Simpson's rule
  const axis = new Float64Array((NODES + 1) * 2);
  axis.set([x2, zAxis]);
  const step = (x1 - x2) / NODES;
  for (let i = 0; i < NODES; i++) {
    const x = x2 + i * step;
    const [a, b, c] = [theta(x), theta(x + step / 2), theta(x + step)];
    axis[i * 2 + 2] = axis[i * 2] + (step / 6) * (Math.cos(a) + 4 * Math.cos(b) + Math.cos(c));
    axis[i * 2 + 3] = axis[i * 2 + 1] - (step / 6) * (Math.sin(a) + 4 * Math.sin(b) + Math.sin(c));
  }
  const [ex, ez] = [axis[NODES * 2], axis[NODES * 2 + 1]];
  const block = turn([0, angle, 0], [x1, 0, zAxis], [ex - x1, 0, ez - zAxis]);
  const [cosine, sine] = [Math.cos(angle), Math.sin(angle)];
  /** in the frame */
  const bend = (x: number, y: number, z: number, out: Float64Array): void => {
    let [ax, az, c, s] = [ex + (x - x1) * cosine, ez - (x - x1) * sine, cosine, sine];
    if (x > x1) {
      const t = (x - x2) / step;
      const i = Math.min(NODES - 1, Math.floor(t));
      const f = t - i;
      ax = axis[i * 2] + (axis[i * 2 + 2] - axis[i * 2]) * f;
      az = axis[i * 2 + 1] + (axis[i * 2 + 3] - axis[i * 2 + 1]) * f;
      c = Math.cos(theta(x));
      s = Math.sin(theta(x));
    }
    out[0] = ax + (z - zAxis) * s;
    out[1] = y;
    out[2] = az + (z - zAxis) * c;
  };
  const q = new Float64Array(3);
  const moved = (x: number, y: number, z: number, out: Float64Array): void => {
    frame.to(x, y, z, q);
    if (q[0] < x2) {
      bend(q[0], q[1], q[2], q);
      fromFrame(frame, q[0], q[1], q[2], out);
    } else {
      out[0] = x;
      out[1] = y;
      out[2] = z;
    }
  };
  const unmoved = (x: number, y: number, z: number, out: Float64Array): void => {
    frame.to(x, y, z, q);
    const [tx, ty, tz] = q;
    let [gx, gz] = [tx, tz];
    for (let i = 0; i < 12 && gx < x2; i++) {
      bend(gx, ty, gz, q);
      const [dx, dz] = [tx - q[0], tz - q[2]];
      gx += dx;
      gz += dz;
      if (Math.abs(dx) + Math.abs(dz) < 1e-11) break;
    }
    if (gx < x2) fromFrame(frame, gx, ty, gz, out);
    else {
      out[0] = x;
      out[1] = y;
      out[2] = z;
    }
  };
  return { body: { ...body, moved, unmoved }, block };
}
