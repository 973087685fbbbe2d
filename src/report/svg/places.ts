/** Where things go so that they can be read: names kept off each other, room above and below a line. */

/**
 * Places of names down a strip, each as near to where it belongs as the others let it.
 *
 * @param wanted rising   @param gap least distance   @param top, bottom ends of the strip; when all do not fit they go over its top
 */
export function apart(wanted: readonly number[], gap: number, top: number, bottom: number): readonly number[] {
  const places = wanted.map((y) => Math.min(bottom, Math.max(top, y)));
  for (let i = 1; i < places.length; i++) places[i] = Math.max(places[i]!, places[i - 1]! + gap);
  for (let i = places.length - 1, most = bottom; i >= 0; i--, most = places[i + 1]! - gap) places[i] = Math.min(places[i]!, most);
  return places;
}

/** Range that shows values with room above and below; a line that stands still is not blown up to the height of the chart. */
export function padded(min: number | null, max: number | null): [low: number, high: number] {
  const [low, high] = [min ?? 0, max ?? 1];
  const room = Math.max(0.08 * (high - low), 0.004 * Math.max(Math.abs(low), Math.abs(high)), 0.05);
  return [low - room, high + room];
}

/** Stretches in which the loop was closed, of a run that ends at `endS`. */
export function closedBetween(open: readonly { readonly fromS: number; readonly toS: number }[], endS: number): readonly (readonly [fromS: number, toS: number])[] {
  const ends = [0, ...open.map(({ toS }) => toS)];
  return ends.map((from, i) => [from, open[i]?.fromS ?? endS] as const).filter(([from, to]) => to > from);
}
