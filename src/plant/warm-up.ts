/**
 * Warm-up: coolant from a lumped heat balance, oil following it. SI.
 *
 *     C·dT/dt     = s·ṁ_fuel·H_l − G·(T − T_a) − g(T)·G_r·(T − T_a)          g: 0 … 1 as the thermostat opens
 *     dT_oil/dt   = (T − T_oil)/τ_oil
 *
 * C is what warms together: coolant in the block, its metal, the head. Reckoned once a second of simulated time with the
 * fuel of that second: its time constants are minutes, so the error of that is below a thousandth of a degree a second.
 * The temperatures live in the plant's inputs, so a drill can put them anywhere. Assumed: one lump; no heater, no fan.
 */
import { own, si, type Values, variant } from '../parameter/table.js';
import type { PlantInputs } from './types.js';

export const warmUpTable = variant({
  tag: 'is',
  options: {
    off: {},
    on: {
      share: own({ unit: '1', default: 0.34, min: 0.05, max: 0.8, meaning: 'share of the energy of the fuel that goes into the coolant, s', source: 'a fit with the capacity, of which only the ratio shows, beside 0.17 to 0.26 at full load, more at idle (Heywood 1988, table 12.1, from memory)' }),
      capacity: own({ as: 'capacityPerLitre', unit: '1', default: 11, min: 1, max: 100, meaning: 'heat that warms it by a degree for each litre of displacement, kJ/(K L)', source: 'fitted to the recorded warm-up of a 1.5 L four: docs/verification.md' }),
      losses: own({ unit: '1', default: 9, min: 0, max: 200, meaning: 'loss to the ambient for each degree above it, thermostat shut, G, W/K', source: 'fitted to the same' }),
      thermostat: si({ unit: 'degC', default: 85, min: 40, max: 110, meaning: 'temperature at which the thermostat starts to open', source: 'common practice, no source' }),
      thermostatSpan: si({ unit: 'K', default: 10, min: 1, max: 30, meaning: 'further rise by which it is open', source: 'common practice, no source' }),
      radiator: own({ unit: '1', default: 300, min: 0, max: 5000, meaning: 'loss for each degree above ambient that it adds when open, G_r, W/K', source: 'assumed' }),
      oilTime: si({ unit: 's', default: 150, min: 5, max: 3000, meaning: 'time constant with which the oil follows the coolant', source: 'assumed' }),
    },
  },
  default: 'off',
  meaning: 'coolant and oil warm up by themselves; else they stay where the drill puts them',
});
export type WarmUpSettings = Values<{ row: typeof warmUpTable }>['row'];

export interface WarmUp {
  /** Forgets the fuel of the second begun. */
  rest(): void;
  /** Adds a step's fuel, kg/s; each second moves coolant and oil. */
  move(fuel: number, inputs: PlantInputs): void;
}

/**
 * Change of the coolant over a time, K, from heat put in.
 * @param coolant, ambient K  @param heat J  @param capacity J/K  @param seconds
 */
export function coolantRise(settings: Extract<WarmUpSettings, { is: 'on' }>, coolant: number, ambient: number, heat: number, capacity: number, seconds: number): number {
  const open = (coolant - settings.thermostat) / settings.thermostatSpan;
  const share = open <= 0 ? 0 : open >= 1 ? 1 : open;
  const loss = (settings.losses + share * settings.radiator) * (coolant - ambient);
  return (heat - loss * seconds) / capacity;
}

/** @param displacement m³  @param heatingValue J/kg  @param ambient K  @param step s  @returns null when off */
export function createWarmUp(settings: WarmUpSettings, displacement: number, heatingValue: number, ambient: number, step: number): WarmUp | null {
  if (settings.is === 'off') return null;
  const every = Math.max(1, Math.round(1 / step));
  const seconds = every * step;
  const capacity = settings.capacityPerLitre * 1e6 * displacement;
  const toOil = seconds / settings.oilTime;
  const since = { steps: 0, fuel: 0.5 };
  return {
    rest() {
      since.steps = 0;
      since.fuel = 0;
    },
    move(fuel, inputs) {
      since.fuel += fuel * step;
      since.steps += 1;
      if (since.steps < every) return;
      const before = inputs.coolant;
      inputs.coolant = before + coolantRise(settings, before, ambient, settings.share * since.fuel * heatingValue, capacity, seconds);
      inputs.oil += (before - inputs.oil) * toOil;
      since.steps = 0;
      since.fuel = 0;
    },
  };
}
