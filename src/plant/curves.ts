/** Curves of the plant: scaled to fractions, held to rise, and turned round. */
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
 * The inverse of a rising curve: x against y. Of a flat stretch at the bottom the last point is kept, of any other the
 * first: the edge of the dead end.
 *
 * @throws RangeError as `checkRising` does
 */
export function inverse(c: Curve, name: string): Curve {
  checkRising(c, name);
  const x: number[] = [];
  const y: number[] = [];
  for (let i = 0; i < c.x.length; i++) {
    if (c.y[i] === x.at(-1)) {
      if (x.length === 1) y[0] = c.x[i]!;
      continue;
    }
    x.push(c.y[i]!);
    y.push(c.x[i]!);
  }
  return { x, y };
}
