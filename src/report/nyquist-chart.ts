/**
 * A Nyquist plot in characters: the loop in the complex plane for rising frequency, near the point −1 that it must not meet.
 *
 * Drawn in dots of Braille cells (Unicode U+2800 … U+28FF), two across and four up in each character, so that a dot is as
 * wide as it is high in the usual terminal font, whose cells are twice as high as wide.
 */
import { magnitude } from '../linear/complex.js';
import type { Margins } from '../linear/margins.js';
import type { FrequencyResponse } from '../linear/response.js';
import { follow } from '../linear/trace-response.js';
import type { Layout } from './chart.js';
import { palette } from './glyphs.js';
import { formatNumber } from './numbers.js';
import { clean, cut } from './text.js';

export interface NyquistOptions extends Layout {
  readonly name: string;
  readonly loop: FrequencyResponse;
  /** When given, where |L| = 1, where L is real, and where it is nearest to −1 are marked. */
  readonly margins?: Margins;
}

/** Bits of the dots of a Braille cell, by row and column (Unicode Standard, chapter 21). */
const DOTS = [[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]] as const;
/** Half-height of the part of the plane that is shown, and how far it reaches left and right: around the unit circle. */
const REACH = { down: -1.7, up: 1.2, left: -2.2, right: 1.3 } as const;

interface Plane {
  readonly columns: number;
  readonly rows: number;
  /** Dots per unit of L. */
  readonly density: number;
  readonly bits: Uint8Array;
  readonly marks: (string | null)[];
  readonly middle: readonly [number, number];
}

function planeOf(columns: number, rows: number): Plane {
  const density = Math.min((2 * columns) / (REACH.right - REACH.left), (4 * rows) / (REACH.up - REACH.down));
  const used = Math.min(columns, Math.ceil((density * (REACH.right - REACH.left)) / 2));
  return {
    columns: used,
    rows,
    density,
    bits: new Uint8Array(used * rows),
    marks: new Array<string | null>(used * rows).fill(null),
    middle: [-REACH.left * density, REACH.up * density],
  };
}

/** Cell and bit of a point of the plane, or null outside. */
function placeOf({ columns, rows, density, middle }: Plane, re: number, im: number): { readonly cell: number; readonly bit: number } | null {
  const [x, y] = [Math.floor(middle[0] + re * density), Math.floor(middle[1] - im * density)];
  if (!(x >= 0 && y >= 0 && x < 2 * columns && y < 4 * rows)) return null;
  return { cell: Math.floor(y / 4) * columns + Math.floor(x / 2), bit: DOTS[y % 4]?.[x % 2] ?? 0 };
}

function dot(plane: Plane, re: number, im: number): void {
  const place = placeOf(plane, re, im);
  if (place !== null) plane.bits[place.cell] = (plane.bits[place.cell] as number) | place.bit;
}

function mark(plane: Plane, re: number, im: number, glyph: string): void {
  const place = placeOf(plane, re, im);
  if (place !== null) plane.marks[place.cell] ??= glyph;
}

/** A straight piece of the curve, dot by dot; pieces far outside are not worth their dots. */
function piece(plane: Plane, a: { readonly re: number; readonly im: number }, b: { readonly re: number; readonly im: number }): void {
  if (Math.min(magnitude(a), magnitude(b)) > 4) return;
  const count = Math.min(2000, Math.ceil(Math.hypot(b.re - a.re, b.im - a.im) * plane.density) + 1);
  for (let i = 0; i <= count; i++) dot(plane, a.re + ((b.re - a.re) * i) / count, a.im + ((b.im - a.im) * i) / count);
}

/**
 * The plot with what its marks mean under it.
 *
 * @returns lines no wider than `columns` (40 at least), no more than `rows` (16 at least)
 * @throws RangeError as `follow` does
 */
export function nyquistChart(options: NyquistOptions): string[] {
  const { loop, margins, colour } = options;
  const columns = Math.max(40, Math.floor(options.columns));
  const paint = palette(colour);
  const legend: string[] = ['+ the point −1', '· circle of gain 1'];
  const found: { readonly omega: number; readonly glyph: string }[] = [];
  const told = (omega: number | null | undefined, glyph: string, what: string): void => {
    if (omega == null || !(omega > 0 && Number.isFinite(omega))) return;
    found.push({ omega, glyph });
    legend.push(`${glyph} ${what} ${formatNumber(omega / (2 * Math.PI), 'Hz')} Hz`);
  };
  told(margins?.crossover, 'G', 'gain 1 at');
  told(margins?.gainMarginAt, 'P', 'phase −180° at');
  told(margins?.msAt, 'S', 'nearest to −1 at');
  const legendLines: string[] = [];
  for (const item of legend) {
    const last = legendLines.at(-1);
    if (last !== undefined && last.length + 3 + item.length <= columns) legendLines[legendLines.length - 1] = `${last}   ${item}`;
    else legendLines.push(item);
  }
  const plane = planeOf(columns - 1, Math.max(8, Math.max(16, options.rows) - 2 - legendLines.length));

  const { points } = follow(loop);
  points.forEach((point, i) => {
    const before = points[i - 1];
    if (before !== undefined) piece(plane, before.loop, point.loop);
  });
  mark(plane, -1, 0, '+');
  for (const { omega, glyph } of found) {
    const value = loop.at(omega);
    mark(plane, value.re, value.im, glyph);
  }
  // The circle and the axes lie under the curve: only in cells that it leaves free.
  const under = new Map<number, string>();
  for (let x = 0; x < plane.columns; x++) under.set(Math.floor(plane.middle[1] / 4) * plane.columns + x, '─');
  for (let y = 0; y < plane.rows; y++) {
    const cell = y * plane.columns + Math.floor(plane.middle[0] / 2);
    under.set(cell, under.has(cell) ? '┼' : '│');
  }
  for (let i = 0; i < 720; i++) {
    const place = placeOf(plane, Math.cos((i * Math.PI) / 360), Math.sin((i * Math.PI) / 360));
    if (place !== null && !under.has(place.cell)) under.set(place.cell, '·');
  }
  const rows = Array.from({ length: plane.rows }, (_, y) => {
    let text = '';
    for (let x = 0; x < plane.columns; x++) {
      const cell = y * plane.columns + x;
      const bits = plane.bits[cell] as number;
      const glyph = plane.marks[cell];
      if (glyph !== null && glyph !== undefined) text += paint.bold(glyph);
      else if (bits > 0) text += paint.line(0)(String.fromCharCode(0x2800 + bits));
      else text += under.has(cell) ? paint.dim(under.get(cell) as string) : ' ';
    }
    return text.trimEnd();
  });
  const title = cut(`${clean(options.name)}: the loop in the complex plane, right real, up imaginary`, columns);
  return [paint.bold(title), ...rows, ...legendLines];
}
