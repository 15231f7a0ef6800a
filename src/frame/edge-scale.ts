/**
 * How much thicker than a violin's the edge of a body is: edges do not grow with the body (violin 4 mm at 355 mm, cello 5–5.5 mm at 755 mm, bass 6.5–7 mm at 1110 mm;
 * common practice, no source), and small instruments keep relatively thick ones. Windows laid across an edge go by this, windows along the outline by the body's size.
 *
 * @param size  body length ÷ 355 mm
 */
export const edgeScale = (size: number): number => size ** THICKER;

const THICKER = 0.45;
