/** Curves of the plant: scaled to fractions, held to rise, and read the other way round. */
import { checkCurve } from '../numerics/curve.js';
import type { Curve } from '../parameter/table.js';

/** A curve in percent as one in fractions. */
export const fraction = (c: Curve): Curve => ({ x: c.x.map((v) => v / 100), y: c.y.map((v) => v / 100) });

/**
 * Returns a curve that rises somewhere and falls nowhere.
 *
 * @param name what errors call it
 * @throws RangeError where it falls, if it never rises, or if it is no curve
 */
export function checkRising(c: Curve, name: string): Curve {
  checkCurve(c, name);
  for (let i = 1; i < c.y.length; i++) {
    if (c.y[i]! < c.y[i - 1]!) throw new RangeError(`${name}: falls from ${c.y[i - 1]} to ${c.y[i]}; it must not`);
  }
  if (!(c.y.at(-1)! > c.y[0]!)) throw new RangeError(`${name}: never rises; it must somewhere`);
  return c;
}

/**
 * Where a rising curve takes a value: x against y. Of a flat stretch at the bottom the last point, of any other the first:
 * the edge of the dead end. Values beyond the curve are those of its ends.
 */
export function whereRising(c: Curve, value: number): number {
  let i = 0;
  while (i + 1 < c.y.length && c.y[i + 1]! <= c.y[0]!) i += 1;
  if (value <= c.y[i]!) return c.x[i]!;
  while (i + 1 < c.y.length && c.y[i + 1]! < value) i += 1;
  if (i + 1 === c.y.length) return c.x[c.y.indexOf(c.y[i]!)]!;
  const [y0, y1] = [c.y[i]!, c.y[i + 1]!];
  return c.x[i]! + (c.x[i + 1]! - c.x[i]!) * ((value - y0) / (y1 - y0));
}
