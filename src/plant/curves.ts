/** Curves of the plant: scaled to fractions, and turned round. */
import type { Curve } from '../parameter/table.js';

/** A curve in percent as one in fractions. */
export const fraction = (c: Curve): Curve => ({ x: c.x.map((v) => v / 100), y: c.y.map((v) => v / 100) });

/**
 * The inverse of a curve that rises somewhere and never falls: x against y. Of a flat stretch at the bottom the last
 * point is kept, of any other the first: the edge of the dead end.
 *
 * @param name what errors call it
 * @throws RangeError where it falls, or if it never rises
 */
export function inverse(c: Curve, name: string): Curve {
  const x: number[] = [];
  const y: number[] = [];
  for (let i = 0; i < c.x.length; i++) {
    const [at, value] = [c.x[i]!, c.y[i]!];
    const last = x.at(-1);
    if (last !== undefined && value < last) throw new RangeError(`${name}: falls from ${last} to ${value}; it must not`);
    if (value === last) {
      if (x.length === 1) y[0] = at;
      continue;
    }
    x.push(value);
    y.push(at);
  }
  if (x.length < 2) throw new RangeError(`${name}: never rises; it must somewhere`);
  return { x, y };
}
