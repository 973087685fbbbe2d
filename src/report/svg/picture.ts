/** A picture for a document: one SVG file with its own paper, without scripts, the same bytes for the same run. */
import { cautionLine } from '../caution.js';
import { clean, textWidth, wrap } from '../text.js';
import { box, label, px, type Shape, shape, shapeText } from './drawing.js';
import { pictureStyle } from './ink.js';

export interface Picture {
  readonly title: string;
  /** What is to be seen, in words, for those who do not see it. */
  readonly about: string;
  readonly height: number;
  readonly shapes: readonly Shape[];
}

/** Of every picture: what a page of text shows at its full size. */
export const WIDTH = 720;
/** Left and right of everything. */
export const EDGE = 12;
const LINE = 18;
/** Width of a character of 13 px that no usual font exceeds on the mean; there is no font here to measure. */
export const CELL = 7.2;

/** Room that a text takes at most. */
export const roomFor = (text: string): number => textWidth(clean(text)) * CELL;

/** Sentences under each other in faint ink. @param y of the first line's foot   @returns how far down they reach */
export function sentences(texts: readonly string[], y: number, of = 'faint'): { readonly shapes: readonly Shape[]; readonly bottom: number } {
  const lines = texts.flatMap((text) => wrap(clean(text), Math.floor((WIDTH - 2 * EDGE) / CELL)));
  return { shapes: lines.map((text, i) => label(text, EDGE, y + i * LINE, of)), bottom: y + (lines.length - 1) * LINE };
}

/** Pictures one under the other. */
export function stacked(pictures: readonly Picture[]): Picture {
  const [first] = pictures;
  if (first === undefined) throw new RangeError('no pictures');
  if (pictures.length === 1) return first;
  let height = 0;
  const shapes = pictures.map((picture) => {
    const moved = shape('g', { transform: `translate(0 ${px(height)})` }, ...picture.shapes);
    height += picture.height + 12;
    return moved;
  });
  return { title: first.title, about: pictures.map(({ about }) => about).join(' '), height, shapes };
}

/** The text of the file. */
export function pictureText({ title, about, height, shapes }: Picture): string {
  const caution = sentences([cautionLine()], height + LINE);
  const whole = px(caution.bottom + EDGE);
  return `${shapeText(shape(
    'svg',
    { xmlns: 'http://www.w3.org/2000/svg', width: WIDTH, height: whole, viewBox: `0 0 ${WIDTH} ${whole}`, role: 'img' },
    shape('title', {}, title), shape('desc', {}, about), shape('style', {}, pictureStyle()),
    box('paper', 0, 0, WIDTH, whole), ...shapes, ...caution.shapes,
  ))}\n`;
}
