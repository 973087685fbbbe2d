/** What stands on the time axis of a run: its events, when the loop was closed, where the engine stalled. */
import type { OpenStretch, TraceEvent } from '../../loop/trace.js';
import { seconds } from '../numbers.js';
import { clean, cut, eventKey } from '../text.js';
import { box, label, line, px, type Shape, shape } from './drawing.js';
import type { Tone } from './ink.js';
import { EDGE, roomFor } from './picture.js';
import { closedBetween } from './places.js';
import { acrossOf, type Frame, MOST_NAME, type Placing } from './plot.js';

const PIN = 17;
/** Room that pins take above a plot. */
export const PIN_ROOM = PIN;
const HATCH = 5;

/** Lettered pins above a plot; those that would lie over the one before keep their upright alone. */
export function pins(events: readonly Pick<TraceEvent, 'atS'>[], { x: toX, top: foot }: Placing): readonly Shape[] {
  let free = Number.NEGATIVE_INFINITY;
  return events.flatMap(({ atS }, i) => {
    const x = toX(atS);
    if (x - PIN / 2 < free) return [];
    free = x + PIN / 2 + 1;
    return [box('pin', x - PIN / 2, foot - PIN, PIN, PIN - 1), label(eventKey(i), x, foot - 4, 'letter', 'middle')];
  });
}

export const uprights = (events: readonly Pick<TraceEvent, 'atS'>[], { x: toX, top, bottom }: Placing): readonly Shape[] => events.map(({ atS }) => line('upright', toX(atS), top, toX(atS), bottom));

/** What the letters stand for. */
export const eventWords = (events: readonly TraceEvent[]): string => events.map(({ name, what, atS }, i) => `${eventKey(i)} = ${clean(name)} at ${seconds(atS)} (${clean(what)})`).join(' · ');

/** A cross where the engine stalled. */
export function stallMark({ x: toX, y: toY, top, bottom }: Placing, atS: number, value: number): readonly Shape[] {
  const [x, y] = [toX(atS), Math.min(bottom - 6, Math.max(top + 6, toY(value)))];
  return [shape('path', { class: 'stall', d: `M${px(x - 5)} ${px(y - 5)}l10 10m0 -10l-10 10` })];
}

/** Height of a strip. */
export const STRIP = 20;

/** A strip: filled where the loop is closed, hatched where it is open, with the reason where that fits. @param top of the strip */
export function loopStrip({ title, name, tone }: { readonly title: string; readonly name: string; readonly tone: Tone }, open: readonly OpenStretch[], endS: number, frame: Frame, top: number): readonly Shape[] {
  const height = STRIP;
  const toX = acrossOf(frame);
  const told = (texts: readonly string[], from: number, to: number): readonly Shape[] => {
    const text = texts.find((each) => roomFor(each) + 12 < to - from);
    if (text === undefined) return [];
    const room = roomFor(text) + 8;
    return [...(text === 'closed' ? [] : [box('paper', (from + to - room) / 2, top + 1, room, height - 2)]), label(text, (from + to) / 2, top + height / 2 + 4.5, 'ink', 'middle')];
  };
  return [
    label(title, EDGE, top + height / 2 + 4.5, 'name'), label(cut(clean(name), MOST_NAME), frame.right + 6, top + height / 2 + 4.5, tone),
    ...closedBetween(open, endS).flatMap(([fromS, toS]) => [box('closed', toX(fromS), top, toX(toS) - toX(fromS), height), ...told(['closed'], toX(fromS), toX(toS))]),
    ...open.flatMap(({ fromS, toS, because }) => {
      const [from, to] = [toX(fromS), toX(toS)];
      const bars = Array.from({ length: Math.max(0, Math.ceil((to - from - 1) / HATCH)) }, (_, i) => `M${px(from + 2 + i * HATCH)} ${px(top)}v${height}`).join('');
      return [...(bars === '' ? [] : [shape('path', { class: 'hatch', d: bars })]), ...told([`open: ${clean(because)}`, clean(because), 'open'], from, to)];
    }),
    line('edge', frame.left, top + height, toX(endS), top + height),
  ];
}
