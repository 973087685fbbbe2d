/** A slider and a box of numbers for every setting; choices as menus. What is refused says why and changes nothing. */
import { el } from './dom.js';
import { type Knob, knobGroups, type NumberKnob, withSetting } from '../settings.js';
import type { Scenario } from '../../scenario/table.js';

const NOTCHES = 1000;

/** Groups open at the start: what is turned first. */
const OPEN_FIRST = new Set(['Air loop', 'Entry', 'Spark trim', 'Engine']);

export interface Knobs {
  readonly element: HTMLElement;
  scenario(): Scenario;
  /** Puts all knobs to another scenario of the same engine, valve and loads. */
  put(scenario: Scenario): void;
}

/** How a slider's way is divided: finer near zero where a setting begins there; evenly else. */
function way({ value, min, max }: NumberKnob): { readonly low: number; readonly high: number; readonly power: number } {
  if (value === null) return { low: min, high: Math.min(max, min + (max - min) / 4), power: 2 };
  if (min >= 0 && value > 0) return { low: min, high: Math.min(max, 5 * value), power: 2 };
  if (min >= 0) return { low: min, high: Math.min(max, min + (max - min) / 10), power: 2 };
  const reach = Math.max(5 * Math.abs(value), (max - min) / 8);
  return { low: Math.max(min, value - reach), high: Math.min(max, value + reach), power: 1 };
}

/** `pid ki` of `controller.pid.ki`, `base 2` of `controller.base.2.1`, `loads 1 lead` of `controller.loads.0.lead`. */
function shortName({ path }: Knob): string {
  const parts = path.split('.');
  if (/^\d+$/.test(parts.at(-2) ?? '') && /^\d+$/.test(parts.at(-1) ?? '')) return parts.slice(1, -1).map((part) => (/^\d+$/.test(part) ? String(Number(part) + 1) : part)).join(' ');
  return parts.slice(parts.length > 2 && parts[0] === 'controller' && !/^\d+$/.test(parts[2] ?? '') ? 2 : 1).map((part) => (/^\d+$/.test(part) ? String(Number(part) + 1) : part)).join(' ');
}

/** @param changed told the scenario and the path at each change that is taken */
export function createKnobs(first: Scenario, changed: (scenario: Scenario, path: string) => void): Knobs {
  let scenario = first;
  const putters = new Map<string, (knob: Knob) => void>();
  let count = 0;

  const take = (knob: Knob, value: number | string | null, say: (problem: string | null) => void): void => {
    try {
      scenario = withSetting(scenario, knob.path, value);
      say(null);
      changed(scenario, knob.path);
    } catch (error) {
      say((error as Error).message.replace(`${knob.path}: `, ''));
    }
  };
  const row = (knob: Knob): HTMLElement => {
    const id = `knob-${count++}`;
    const problem = el('p', { class: 'problem', id: `${id}-p`, role: 'alert' });
    const describe = { 'aria-describedby': `${id}-m ${id}-p` };
    const control = knob.kind === 'number' ? numberControl(knob, id, describe) : choiceControl(knob, id, describe);
    const say = (text: string | null): void => {
      problem.textContent = text ?? '';
      control.box.setAttribute('aria-invalid', String(text !== null));
    };
    control.listen((value) => take(knob, value, say));
    putters.set(knob.path, (now) => {
      control.put(now);
      say(null);
    });
    const unit = knob.kind === 'number' && knob.unit !== '' ? ` ${knob.unit}` : '';
    return el('div', { class: 'knob', 'data-path': knob.path }, el('label', { for: id }, shortName(knob), el('span', { class: 'unit' }, unit)), ...control.parts, el('p', { class: 'meaning', id: `${id}-m` }, knob.meaning), problem);
  };
  const groups = knobGroups(first).map(({ name, knobs }) => el('details', { open: OPEN_FIRST.has(name) }, el('summary', {}, name), ...knobs.map(row)));
  const find = el('input', { type: 'search', id: 'find-knob', oninput: () => {
    const wanted = find.value.trim().toLowerCase();
    for (const group of groups) {
      const knobs = [...group.querySelectorAll<HTMLElement>('.knob')];
      for (const knob of knobs) knob.hidden = wanted !== '' && !`${knob.dataset.path} ${knob.textContent}`.toLowerCase().includes(wanted);
      const any = knobs.some((knob) => !knob.hidden);
      group.hidden = !any;
      if (wanted !== '' && any) group.open = true;
    }
  } });
  return {
    element: el('div', { class: 'knobs' }, el('p', { class: 'find' }, el('label', { for: 'find-knob' }, 'Find a setting'), find), ...groups),
    scenario: () => scenario,
    put(next) {
      scenario = next;
      for (const { knobs } of knobGroups(next)) for (const knob of knobs) putters.get(knob.path)?.(knob);
    },
  };
}

interface Control {
  readonly parts: readonly HTMLElement[];
  readonly box: HTMLElement;
  listen(take: (value: number | string | null) => void): void;
  put(knob: Knob): void;
}

function numberControl(knob: NumberKnob, id: string, describe: Readonly<Record<string, string>>): Control {
  let { low, high, power } = way(knob);
  const box = el('input', { type: 'number', id, step: 'any', value: knob.value ?? '', placeholder: knob.mayBeAbsent ? 'none' : null, ...describe });
  const slider = el('input', { type: 'range', min: 0, max: NOTCHES, step: 1, 'aria-label': `${shortName(knob)}, slider` });
  const valueAt = (): number => {
    const raw = low + (high - low) * (Number(slider.value) / NOTCHES) ** power;
    return knob.whole ? Math.round(raw) : Number(raw.toPrecision(3));
  };
  const place = (value: number): void => {
    slider.value = String(Math.round(NOTCHES * Math.max(0, Math.min(1, (value - low) / (high - low))) ** (1 / power)));
    slider.setAttribute('aria-valuetext', `${value}${knob.unit === '' ? '' : ` ${knob.unit}`}`);
  };
  place(knob.value ?? low);
  return {
    parts: [slider, box],
    box,
    listen(take) {
      slider.addEventListener('input', () => {
        const value = Math.min(knob.max, Math.max(knob.min, valueAt()));
        box.value = String(value);
        slider.setAttribute('aria-valuetext', `${value}${knob.unit === '' ? '' : ` ${knob.unit}`}`);
        take(value);
      });
      box.addEventListener('input', () => {
        const value = box.value === '' ? null : Number(box.value);
        if (value === null && !knob.mayBeAbsent) return; // about to type
        if (value !== null) place(value);
        take(value);
      });
    },
    put(now) {
      if (now.kind !== 'number') return;
      if (now.value !== null && (now.value > high || now.value < low)) ({ low, high, power } = way(now));
      box.value = now.value === null ? '' : String(now.value);
      place(now.value ?? low);
    },
  };
}

function choiceControl(knob: Extract<Knob, { kind: 'choice' }>, id: string, describe: Readonly<Record<string, string>>): Control {
  const box = el('select', { id, ...describe }, ...knob.options.map((option) => el('option', { value: option, selected: option === knob.value }, option)));
  return {
    parts: [box],
    box,
    listen: (take) => box.addEventListener('change', () => take(box.value)),
    put(now) {
      box.value = String(now.value);
    },
  };
}
