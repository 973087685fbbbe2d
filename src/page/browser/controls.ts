/** What a driver and the loads do: pedal, clutch, gear, starter, and every load that this engine and controller know. */
import type { DrillEvent } from '../../loop/parameters.js';
import type { Scenario } from '../../scenario/table.js';
import { button, el } from './dom.js';

const RPM = Math.PI / 30;

let count = 0;

interface NumberField {
  readonly element: HTMLElement;
  /** The number, or what it began with while none is typed. */
  read(): number;
}

function field(label: string, unit: string, value: number, min: number, max: number): NumberField {
  const id = `field-${count++}`;
  const box = el('input', { type: 'number', id, value, min, max, step: 'any' });
  return {
    element: el('span', { class: 'field' }, el('label', { for: id }, label), box, el('span', { class: 'unit' }, unit)),
    read: () => Math.min(max, Math.max(min, box.value === '' || !Number.isFinite(Number(box.value)) ? value : Number(box.value))),
  };
}

/** A button that stays down: on or off. */
function toggle(label: string, press: (on: boolean) => void): HTMLButtonElement {
  const made = button(label, () => {
    const on = made.getAttribute('aria-pressed') !== 'true';
    made.setAttribute('aria-pressed', String(on));
    press(on);
  }, { 'aria-pressed': 'false' });
  return made;
}

const line = (name: string, ...parts: readonly HTMLElement[]): HTMLElement => el('div', { class: 'hand', role: 'group', 'aria-label': name }, el('span', { class: 'hand-name' }, name), ...parts);

/** @param press does an event now */
export function createControls({ engine, controller, drill }: Scenario, press: (event: DrillEvent) => void): HTMLElement {
  const at = 0;
  const mean = engine.model === 'mean-value' ? engine : null;
  const pedal = el('input', { type: 'range', min: 0, max: 100, step: 1, value: Math.round(drill.start.throttlePct), 'aria-label': 'Pedal, %' });
  const say = el('output', {}, `${pedal.value} %`);
  pedal.addEventListener('input', () => {
    say.textContent = `${pedal.value} %`;
    press({ do: 'throttle', at, name: 'pedal', openingPct: Number(pedal.value), until: null });
  });
  const [opening, until] = [field('blip', '%', 30, 1, 100), field('until', 'rpm', 2500, 300, 8000)];
  const torque = field('torque', 'N·m', 8, -50, 200);
  const known = controller.loads.map(({ name }) => name);
  const machines = (mean?.machines ?? []).map(({ name }) => name);
  const load = (name: string, on: boolean): DrillEvent => ({ do: 'load', at, name, torque: on ? torque.read() : 0, power: 0, rise: 0, hold: null });
  const alternator = mean !== null && mean.alternator.fitted === 'yes';
  const [power, leak, volts] = [field('power', 'W', 400, 1, 5000), field('flow', 'g/s', 0.5, 0, 5), field('voltage', 'V', 11.5, 6, 18)];
  const gears = mean?.driveline.gears.length ?? 0;
  const gear = el('select', { 'aria-label': 'Gear', onchange: () => press({ do: 'gear', at, name: '', gear: Number(gear.value) }) }, ...Array.from({ length: gears + 1 }, (_, i) => el('option', { value: i, selected: i === drill.start.gear }, i === 0 ? 'neutral' : `gear ${i}`)));
  const clutch = toggle('clutch down', (on) => press({ do: 'clutch', at, name: '', pedal: on ? 'down' : 'up', time: 0.2 }));
  clutch.setAttribute('aria-pressed', String(drill.start.clutch === 'down'));
  return el('div', { class: 'hands' },
    line('Driver', pedal, say, opening.element, until.element, button('blip', () => press({ do: 'throttle', at, name: 'blip', openingPct: opening.read(), until: until.read() * RPM })),
      ...(gears > 0 ? [clutch, gear] : []), button('starter, 1 s', () => press({ do: 'starter', at, name: '', hold: 1 }))),
    line('Loads', torque.element, toggle('unannounced load', (on) => press(load('load', on))), ...known.filter((name) => !machines.includes(name)).map((name) => toggle(name, (on) => press(load(name, on))))),
    ...(machines.length === 0 ? [] : [line('Machines', ...machines.map((name) => toggle(name, (on) => press({ do: 'machine', at, name, on, hold: null }))))]),
    line('Besides', ...(alternator ? [power.element, toggle('electrical load', (on) => press({ do: 'electrical', at, name: '', power: on ? power.read() : 0, inrush: 0, inrushTime: 0.5, hold: null }))] : []),
      ...(mean === null ? [] : [leak.element, toggle('air leak', (on) => press({ do: 'air', at, name: 'leak', flow: on ? leak.read() / 1e3 : 0, hold: null })), volts.element, button('supply dip, 2 s', () => press({ do: 'supply', at, name: '', voltage: volts.read(), hold: 2 }))]),
      button('target +100 rpm', () => press({ do: 'target', at, name: '', addRpm: 100 })), button('target as set', () => press({ do: 'target', at, name: '', addRpm: 0 }))));
}
