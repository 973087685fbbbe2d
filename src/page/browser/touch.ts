/** Fingers on a chart: one puts the cursor, two spread or close the window of time. The page still scrolls up and down. */
import type uPlot from 'uplot';
import type { Window } from './strips.js';

const SHORTEST_S = 0.05;

export function touch(chart: uPlot, look: (window: Window) => void, seen: () => Window): void {
  const { over } = chart;
  over.style.touchAction = 'pan-y';
  const fingers = new Map<number, number>();
  let held: { readonly window: Window; readonly times: readonly [number, number] } | null = null;
  const leftOf = (event: PointerEvent): number => event.clientX - over.getBoundingClientRect().left;
  const share = (left: number): number => left / over.clientWidth;
  const grip = (): void => {
    const [a, b] = [...fingers.values()];
    const window = seen();
    held = a === undefined || b === undefined ? null : { window, times: [timeAt(window, a), timeAt(window, b)] };
  };
  const timeAt = ({ from, to }: Window, left: number): number => from + share(left) * (to - from);

  over.addEventListener('pointerdown', (event) => {
    if (event.pointerType !== 'touch') return;
    fingers.set(event.pointerId, leftOf(event));
    grip();
    if (fingers.size === 1) chart.setCursor({ left: leftOf(event), top: 10 });
  });
  over.addEventListener('pointermove', (event) => {
    if (!fingers.has(event.pointerId)) return;
    fingers.set(event.pointerId, leftOf(event));
    const [a, b] = [...fingers.values()];
    if (held === null || a === undefined || b === undefined) {
      chart.setCursor({ left: leftOf(event), top: 10 });
      return;
    }
    // the two times stay under the two fingers
    const span = (held.times[1] - held.times[0]) / (share(b) - share(a));
    if (!(span > SHORTEST_S && Number.isFinite(span))) return;
    const from = held.times[0] - share(a) * span;
    look({ from, to: from + span });
  });
  for (const kind of ['pointerup', 'pointercancel'] as const) {
    over.addEventListener(kind, (event) => {
      fingers.delete(event.pointerId);
      grip();
    });
  }
}
