/** Moving cursor and window by keys and by buttons: what a mouse can do, hands without one can. */
import { button, el } from './dom.js';
import type { Strips } from './strips.js';

export interface Moves {
  /** Time of a row, s, and how many rows there are. */
  readonly timeS: () => ArrayLike<number>;
  readonly endS: () => number;
}

const CLOSER = 0.5;
const SHORTEST_S = 0.05;

/** @returns the buttons; keys are taken where the strips have the focus */
export function addMoves(strips: Strips, { timeS, endS }: Moves): HTMLElement {
  const start = (): number => timeS()[0] ?? 0;
  const middle = (): number => {
    const { from, to } = strips.window();
    const row = strips.row();
    const time = row === null ? undefined : timeS()[row];
    return time !== undefined && time >= from && time <= to ? time : (from + to) / 2;
  };
  const clipped = (from: number, span: number): void => {
    const whole = endS() - start();
    const wide = Math.min(Math.max(span, SHORTEST_S), whole);
    const left = Math.min(Math.max(from, start()), endS() - wide);
    strips.look({ from: left, to: left + wide });
  };
  const zoom = (by: number): void => {
    const { from, to } = strips.window();
    const at = middle();
    clipped(at - (at - from) * by, (to - from) * by);
  };
  const pan = (share: number): void => {
    const { from, to } = strips.window();
    clipped(from + share * (to - from), to - from);
  };
  const all = (): void => strips.look({ from: start(), to: endS() });
  const move = (share: number): void => {
    const { from, to } = strips.window();
    const times = timeS();
    const now = strips.row();
    const rowAt = (time: number): number => {
      let [low, high] = [0, times.length - 1];
      while (low < high) {
        const half = (low + high) >> 1;
        if ((times[half] as number) < time) low = half + 1;
        else high = half;
      }
      return low;
    };
    const next = now === null ? rowAt((from + to) / 2) : share === 0 ? now : Math.max(0, Math.min(times.length - 1, now + Math.sign(share) * Math.max(1, Math.abs(rowAt((times[now] ?? 0) + Math.abs(share) * (to - from)) - now))));
    const time = times[next] ?? 0;
    if (time < from || time > to) clipped(time - (to - from) / 2, to - from);
    strips.point(next);
  };
  const KEYS: Readonly<Record<string, (shift: boolean) => void>> = {
    ArrowLeft: (shift) => move(shift ? -1e-9 : -0.01),
    ArrowRight: (shift) => move(shift ? 1e-9 : 0.01),
    '+': () => zoom(CLOSER), '=': () => zoom(CLOSER), '-': () => zoom(1 / CLOSER),
    PageUp: () => pan(-0.5), PageDown: () => pan(0.5),
    Home: () => { all(); strips.point(0); },
    End: () => { all(); strips.point(timeS().length - 1); },
    '0': all, Escape: () => strips.point(null),
  };
  strips.element.tabIndex = 0;
  strips.element.setAttribute('role', 'group');
  strips.element.setAttribute('aria-label', 'Traces. Left and right move the cursor, with shift row by row; plus and minus zoom, page up and page down move along, 0 shows all.');
  strips.element.addEventListener('keydown', (event) => {
    const act = event.ctrlKey || event.metaKey || event.altKey ? undefined : KEYS[event.key];
    if (act === undefined) return;
    event.preventDefault();
    act(event.shiftKey);
  });
  return el('div', { class: 'moves', role: 'group', 'aria-label': 'Cursor and zoom' },
    button('◂ cursor', () => move(-0.01)), button('cursor ▸', () => move(0.01)), button('closer', () => zoom(CLOSER)), button('wider', () => zoom(1 / CLOSER)),
    button('earlier', () => pan(-0.5)), button('later', () => pan(0.5)), button('all', all));
}
