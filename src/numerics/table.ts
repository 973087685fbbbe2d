/**
 * A function of one variable as a table: piecewise cubic Hermite on a uniform grid, for what is too costly to work out
 * at every step (a power of a ratio, say).
 */

/**
 * Tabulates `f` between `lo` and `hi`.
 *
 * At the nodes the table has the value and the slope of `f`; between them a cubic; beyond the ends it goes on straight
 * with the slope at the end. The error between the ends is at most max|f''''|·dx⁴/384 (`tableError`; C. de Boor, A
 * Practical Guide to Splines, 1978, ch. IV), plus the rounding of four multiplications and additions.
 *
 * @param f the function; called `cells + 1` times, here only
 * @param slope its derivative, likewise
 * @param cells number of equal cells, so dx = (hi − lo)/cells
 * @returns the table as a function; it allocates nothing, and NaN gives NaN
 * @throws RangeError on an empty range, a count that is no whole number from 1 to 2²⁴, or a node that is not finite
 */
export function createTable(
  f: (x: number) => number,
  slope: (x: number) => number,
  lo: number,
  hi: number,
  cells: number,
): (x: number) => number {
  const dx = width(lo, hi, cells);
  // Powers of the place within the cell, 0 … 1, lowest first: four numbers a cell. One more cell before the others and
  // one behind are straight, so that reading has a single path. The first four numbers say where the grid lies: V8 reads
  // a number from an array with less ado than one that a closure holds.
  const c = new Float64Array(4 * (cells + 3));
  let y0 = finite(f(lo), 'value', lo);
  let s0 = finite(slope(lo), 'slope', lo);
  c.set([lo, cells / (hi - lo), cells, 0, y0 - s0 * dx, s0 * dx]);
  for (let i = 0; i < cells; i++) {
    const x1 = i + 1 === cells ? hi : lo + (i + 1) * dx;
    const y1 = finite(f(x1), 'value', x1);
    const s1 = finite(slope(x1), 'slope', x1);
    const rise = y1 - y0;
    const k = 4 * (i + 2);
    c[k] = y0;
    c[k + 1] = s0 * dx;
    c[k + 2] = 3 * rise - (2 * s0 + s1) * dx;
    c[k + 3] = (s0 + s1) * dx - 2 * rise;
    y0 = y1;
    s0 = s1;
  }
  c.set([y0, s0 * dx], 4 * (cells + 2));

  return (x) => {
    const t = (x - (c[0] as number)) * (c[1] as number);
    const cell = t < 0 ? -1 : t < (c[2] as number) ? t | 0 : cells;
    const u = t - cell;
    const k = (cell + 2) << 2;
    return (((c[k + 3] as number) * u + (c[k + 2] as number)) * u + (c[k + 1] as number)) * u + (c[k] as number);
  };
}

/**
 * Largest error of a table of `f` between its ends: `maxFourth`·dx⁴/384 (de Boor 1978, ch. IV).
 * @param maxFourth largest magnitude of the fourth derivative of `f` between `lo` and `hi`
 */
export function tableError(maxFourth: number, lo: number, hi: number, cells: number): number {
  const dx = width(lo, hi, cells);
  return (maxFourth * (dx * dx) * (dx * dx)) / 384;
}

function width(lo: number, hi: number, cells: number): number {
  if (!(Number.isFinite(lo) && Number.isFinite(hi) && lo < hi)) {
    throw new RangeError(`table: needs finite ends, the lower first; given ${lo} and ${hi}`);
  }
  if (!(Number.isInteger(cells) && cells >= 1 && cells <= 0x1000000)) {
    throw new RangeError(`table: needs a whole number of cells, 1 to ${0x1000000}; given ${cells}`);
  }
  return (hi - lo) / cells;
}

function finite(value: number, what: string, x: number): number {
  if (!Number.isFinite(value)) throw new RangeError(`table: the ${what} at ${x} is ${value}`);
  return value;
}
