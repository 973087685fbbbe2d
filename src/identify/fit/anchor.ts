/**
 * What gives a fit its scale. A log of speed and pressure leaves directions open in which the traces hardly change: inertia
 * and every torque multiplied by one number, and every flow (with the plenum and the filling) by another. An anchor holds one
 * parameter of each direction; what is told of the others is told on its word.
 */
import type { EngineSettings } from '../../plant/engine.js';
import type { Fitted, Knob } from './knobs.js';

/** `fuel energy`: the torque from the fuel's energy as the engine file has it; or the torque of one load of the log. */
export type Anchor = 'fuel energy' | `load:${string}`;

export interface Anchors {
  readonly anchor: Anchor;
  /** Keys of knobs that are held. */
  readonly held: ReadonlySet<string>;
  /** Knobs beside those of the engine: the efficiency, where a load is the anchor. */
  readonly more: readonly Knob[];
  readonly text: string;
}

export const efficiencyKnob: Knob = {
  name: 'indicated efficiency', key: 'engine.torque.efficiency', unit: '', perUnit: 1, kind: 'scale',
  get: (f) => f.engine.torque.efficiency,
  set: (f, efficiency) => ({ ...f, engine: { ...f.engine, torque: { ...f.engine.torque, efficiency } as EngineSettings['torque'] } }),
  sd: 0.7, min: -Math.log(4), max: Math.log(4),
};

export const fillingKnob: Knob = {
  name: 'filling', key: 'engine.charge.filling', unit: '', perUnit: 1, kind: 'scale',
  get: (f) => f.engine.charge.filling,
  set: (f, filling) => ({ ...f, engine: { ...f.engine, charge: { ...f.engine.charge, filling } as EngineSettings['charge'] } }),
  sd: 0.7, min: -Math.log(4), max: Math.log(4),
};

const shown = (value: number): string => String(Number(value.toPrecision(3)));

/** @throws RangeError for a load that is not in the log, or whose torque is not given */
export function anchorsOf(anchor: Anchor, base: Fitted): Anchors {
  const { engine } = base;
  const flows = `every flow stands on the swept volume and the filling of the engine file (${shown(engine.charge.filling)})`;
  if (anchor === 'fuel energy') {
    const energy = `efficiency ${shown(engine.torque.efficiency)} of ${shown(engine.fuel.heatingValue / 1e6)} MJ/kg at ${shown(engine.fuel.stoichiometric)} air to fuel`;
    return { anchor, held: new Set(), more: [], text: `Anchor: fuel energy (${energy}). Inertia, friction and loads scale with it; ${flows}` };
  }
  const name = anchor.slice(5);
  const load = base.loads.find((l) => l.name === name);
  if (load === undefined) throw new RangeError(`no load ${name} is in the log${base.loads.length === 0 ? ', which has none' : `; it has ${base.loads.map((l) => l.name).join(', ')}`}`);
  return { anchor, held: new Set([anchor]), more: [efficiencyKnob], text: `Anchor: load ${name}, held at its torque. Inertia, friction, efficiency and the other loads scale with it; ${flows}` };
}
