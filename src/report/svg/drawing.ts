/** A drawing as a tree of plain data: written as text into an SVG file, or made into elements by a page. */
import { escapeHtml } from '../page-text.js';

export interface Shape {
  readonly tag: string;
  readonly attributes: Readonly<Record<string, string | number>>;
  readonly children: readonly (Shape | string)[];
}

export const shape = (tag: string, attributes: Shape['attributes'], ...children: readonly (Shape | string)[]): Shape => ({ tag, attributes, children });

/** A coordinate to a tenth of a pixel: the last bits of a logarithm differ between machines, and nobody sees them. */
export const px = (value: number): number => Math.round(value * 10) / 10;

/** Text at a place; `anchor` is start when not given. */
export const label = (text: string, x: number, y: number, of: string, anchor: 'start' | 'middle' | 'end' = 'start'): Shape =>
  shape('text', { class: of, x: px(x), y: px(y), ...(anchor === 'start' ? {} : { 'text-anchor': anchor }) }, text);

export const line = (of: string, x1: number, y1: number, x2: number, y2: number): Shape => shape('line', { class: of, x1: px(x1), y1: px(y1), x2: px(x2), y2: px(y2) });

export const box = (of: string, x: number, y: number, width: number, height: number): Shape => shape('rect', { class: of, x: px(x), y: px(y), width: px(width), height: px(height) });

/** The tree as text. Names come from files that anyone may have written: nothing in them acts. */
export function shapeText({ tag, attributes, children }: Shape): string {
  const head = Object.entries(attributes).map(([name, value]) => ` ${name}="${escapeHtml(String(value))}"`).join('');
  if (children.length === 0) return `<${tag}${head}/>`;
  return `<${tag}${head}>${children.map((child) => (typeof child === 'string' ? escapeHtml(child) : shapeText(child))).join('')}</${tag}>`;
}
