/** A sweep as a picture: its map where it is a grid of two settings, and its front where that was asked for. */
import type { PageSweep } from '../page-payload.js';
import { clean } from '../text.js';
import { label, type Shape } from './drawing.js';
import { drawFront } from './front-picture.js';
import { drawMap, mapWords } from './map-picture.js';
import { EDGE, type Picture, sentences, WIDTH } from './picture.js';

const FRONT_HIGH = 300;

/**
 * The picture.
 *
 * @param words what came of it   @throws RangeError when there is neither a map nor a front
 */
export function sweepPicture({ name, map, front }: PageSweep, words: readonly string[]): Picture {
  const shapes: Shape[] = [label(clean(name), EDGE, 22, 'title')];
  const told = sentences(words, 44);
  shapes.push(...told.shapes);
  let y = told.bottom + 14;
  if (map !== null) {
    const drawn = drawMap(map, y);
    const [across, up] = map.by;
    const said = sentences([`${mapWords(map)}; framed: the best.${across > 1 || up > 1 ? ` Thinned: a square stands for ${across} × ${up} cells and shows the best of them.` : ''}`], drawn.bottom + 18);
    shapes.push(...drawn.shapes, ...said.shapes);
    y = said.bottom + 18;
  }
  if (front !== null && front.points.length > 0) {
    const [top, bottom] = [y + 20, y + 20 + FRONT_HIGH];
    const said = sentences([`Points on the line: no other setting betters them in both; dots: other settings.${front.thinned === null ? '' : ` ${front.thinned}`}`], bottom + 56);
    shapes.push(...drawFront(front, { left: 64, right: WIDTH - EDGE, top, bottom }), ...said.shapes);
    y = said.bottom;
  }
  if (map === null && (front === null || front.points.length === 0)) throw new RangeError('nothing to draw: a map needs a grid of exactly two settings, a front --front and settings that have both numbers');
  return { title: clean(name), about: words.join(' '), height: y, shapes };
}
