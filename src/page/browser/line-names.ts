/** Names of lines at their right ends, kept off each other, in the ink of the line; the strip's title and unit above its axis. */
import type uPlot from 'uplot';
import { apart } from '../../report/svg/places.js';
import { colour, inkOf } from './look.js';
import type { Strip } from './strips.js';

const LINE_HEIGHT = 14;

/** Last value of a line within the window; null where it has none. */
function lastSeen(chart: uPlot, series: number): number | null {
  const values = chart.data[series] as ArrayLike<number | null> | undefined;
  const [, to] = chart.series[0]?.idxs ?? [0, 0];
  for (let k = Math.min(to ?? 0, (values?.length ?? 0) - 1), left = 400; values !== undefined && k >= 0 && left > 0; k--, left--) {
    const value = values[k];
    if (value != null) return value;
  }
  return null;
}

/** A name cut to a width, with an ellipsis. */
function fitting(ctx: CanvasRenderingContext2D, name: string, width: number): string {
  if (ctx.measureText(name).width <= width) return name;
  let cut = name;
  while (cut.length > 1 && ctx.measureText(`${cut}…`).width > width) cut = cut.slice(0, -1);
  return `${cut.trimEnd()}…`;
}

/** @param room right of the plot, CSS pixels */
export function nameLines(chart: uPlot, strip: Strip, { band = false, first = false }: { readonly band?: boolean; readonly first?: boolean }, room: number): void {
  const { ctx, bbox } = chart;
  const ratio = devicePixelRatio;
  ctx.save();
  ctx.font = `${12 * ratio}px system-ui, sans-serif`;
  ctx.textBaseline = 'middle';
  ctx.textAlign = 'left';
  const found = strip.lines.flatMap((line, i) => {
    const value = lastSeen(chart, i + 1);
    return value === null ? [] : [{ line, y: chart.valToPos(value, 'y', true) }];
  });
  found.sort((a, b) => a.y - b.y);
  const [top, bottom] = [bbox.top + 6 * ratio, bbox.top + bbox.height - 4 * ratio];
  const gap = LINE_HEIGHT * ratio;
  const places = apart(found.map(({ y }) => y), gap, top, bottom);
  for (const [i, { line }] of found.entries()) {
    ctx.fillStyle = inkOf(line.tone);
    ctx.fillText(fitting(ctx, line.name, (room - 8) * ratio), bbox.left + bbox.width + 6 * ratio, places[i]!);
  }
  ctx.fillStyle = colour('ink');
  ctx.font = `600 ${12 * ratio}px system-ui, sans-serif`;
  const title = strip.unit === '' ? strip.title : `${strip.title}, ${strip.unit}`;
  if (band) {
    ctx.textAlign = 'right';
    ctx.fillText(title, bbox.left - 6 * ratio, bbox.top + bbox.height / 2);
    if (strip.band !== undefined) {
      ctx.textAlign = 'left';
      ctx.font = `${12 * ratio}px system-ui, sans-serif`;
      ctx.fillStyle = inkOf(strip.band.tone);
      ctx.fillText(fitting(ctx, strip.band.name, (room - 8) * ratio), bbox.left + bbox.width + 6 * ratio, bbox.top + bbox.height / 2);
    }
  } else {
    // over the numbers of its axis; above the pins where there are any
    ctx.fillText(title, Math.max(4 * ratio, bbox.left - 52 * ratio), bbox.top - (first ? 32 : 14) * ratio);
  }
  ctx.restore();
}
