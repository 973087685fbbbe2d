/** Light or dark paper, and the inks of the charts. Paper prints light. */
import { DASHES, type Tone as LineTone } from '../../report/svg/ink.js';
import { byId } from './dom.js';

/** Ink of a line by its place; a ghost is what was frozen on the bench. */
export type Tone = LineTone | 'ghost';

const GHOST = [3, 3];

const listeners = new Set<() => void>();
let printing = false;

const variable = (name: string): string => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

export const inkOf = (tone: Tone): string => variable(`--${tone}`);
export const dashOf = (tone: Tone): number[] => [...(tone === 'ghost' ? GHOST : DASHES[tone])];
export const colour = (name: 'ink' | 'faint' | 'rule' | 'paper' | 'open' | 'closed' | 'bad'): string => variable(`--${name}`);

/** Called when inks have changed, and before and after the page goes to a printer. */
export function onLook(act: (printing: boolean) => void): void {
  listeners.add(() => act(printing));
}

const tell = (): void => {
  for (const act of listeners) act();
};

export function beginLooks(): void {
  const select = byId('looks') as HTMLSelectElement;
  const put = (): void => {
    if (printing) document.documentElement.dataset.look = 'light';
    else if (select.value === 'auto') delete document.documentElement.dataset.look;
    else document.documentElement.dataset.look = select.value;
    tell();
  };
  select.addEventListener('change', put);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', tell);
  const print = (on: boolean) => (): void => {
    printing = on;
    put();
  };
  addEventListener('beforeprint', print(true));
  addEventListener('afterprint', print(false));
}
