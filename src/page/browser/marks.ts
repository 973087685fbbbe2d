/** What is drawn behind and over the lines: events as lettered pins, and bands that say when the loop is closed and why it is open. */
import type uPlot from 'uplot';
import type { OpenStretch } from '../../loop/trace.js';
import { closedBetween } from '../../report/svg/places.js';
import { colour } from './look.js';

export interface Pin {
  readonly atS: number;
  readonly letter: string;
}

/** Stretches of the window, closed ones filled, open ones hatched with the reason written in where it fits. */
export function drawBands(chart: uPlot, open: readonly OpenStretch[], endS: number): void {
  const { ctx, bbox } = chart;
  const ratio = devicePixelRatio;
  const at = (timeS: number): number => Math.min(bbox.left + bbox.width, Math.max(bbox.left, chart.valToPos(timeS, 'x', true)));
  const [top, height] = [bbox.top + 3 * ratio, bbox.height - 6 * ratio];
  ctx.save();
  ctx.font = `${12 * ratio}px system-ui, sans-serif`;
  ctx.textBaseline = 'middle';
  ctx.textAlign = 'left'; // the axes leave theirs behind
  ctx.fillStyle = colour('closed');
  ctx.fillRect(at(Number.NEGATIVE_INFINITY), top, at(endS) - at(Number.NEGATIVE_INFINITY), height);
  for (const { fromS, toS, because } of open) {
    const [left, right] = [at(fromS), at(toS)];
    if (right - left < 0.5) continue;
    ctx.fillStyle = colour('paper');
    ctx.fillRect(left, top, right - left, height);
    ctx.fillStyle = colour('open');
    for (let x = left + 2 * ratio; x < right; x += 5 * ratio) ctx.fillRect(x, top, ratio, height);
    write(ctx, `open: ${because}`, 'open', left, right, top + height / 2, ratio);
  }
  for (const [from, to] of closedBetween(open, endS)) write(ctx, 'closed', 'closed', at(from), at(to), top + height / 2, ratio);
  ctx.restore();
}

/** The whole text, else its first word, else nothing. */
function write(ctx: CanvasRenderingContext2D, text: string, short: string, left: number, right: number, y: number, ratio: number): void {
  const fitting = [text, short].find((words) => ctx.measureText(words).width + 12 * ratio < right - left);
  if (fitting === undefined) return;
  const wide = ctx.measureText(fitting).width;
  const x = (left + right - wide) / 2;
  if (text !== 'closed') {
    ctx.fillStyle = colour('paper');
    ctx.fillRect(x - 4 * ratio, y - 8 * ratio, wide + 8 * ratio, 16 * ratio);
  }
  ctx.fillStyle = colour('ink');
  ctx.fillText(fitting, x, y);
}

/** An upright at each event; its letter above the first strip. */
export function drawPins(chart: uPlot, pins: readonly Pin[], first: boolean): void {
  const { ctx, bbox } = chart;
  const ratio = devicePixelRatio;
  ctx.save();
  ctx.strokeStyle = colour('faint');
  ctx.lineWidth = ratio;
  ctx.setLineDash([2 * ratio, 3 * ratio]);
  ctx.font = `600 ${11 * ratio}px system-ui, sans-serif`;
  ctx.textAlign = 'center';
  ctx.textBaseline = 'middle';
  let free = Number.NEGATIVE_INFINITY;
  for (const { atS, letter } of pins) {
    const x = chart.valToPos(atS, 'x', true);
    if (x < bbox.left - 1 || x > bbox.left + bbox.width + 1) continue;
    ctx.beginPath();
    ctx.moveTo(x, bbox.top);
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
    if (!first || x < free) continue;
    const wide = Math.max(16 * ratio, ctx.measureText(letter).width + 8 * ratio);
    ctx.fillStyle = colour('ink');
    ctx.fillRect(x - wide / 2, bbox.top - 17 * ratio, wide, 15 * ratio);
    ctx.fillStyle = colour('paper');
    ctx.fillText(letter, x, bbox.top - 9 * ratio);
    free = x + wide + 2 * ratio;
  }
  ctx.restore();
}
