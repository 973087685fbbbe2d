/** A scenario with other controller settings, and numbers as they are typed in. */
import type { ControllerSettings } from '../controller/parameters.js';
import { numericKeys, type Scenario, withValues } from '../scenario/index.js';

/** The scenario with settings of the controller replaced. @throws RangeError when they contradict each other */
export function withController(scenario: Scenario, changes: Partial<ControllerSettings>): Scenario {
  const changed: Scenario = { ...scenario, controller: { ...scenario.controller, ...changes } };
  const unit = /^(%|step)/;
  const airGiven = numericKeys(changed)
    .filter((key) => key.path.startsWith('controller.') && unit.test(key.unit))
    .map((key) => key.path.replace(/\.\d+\.1$/, ''));
  return withValues({ ...changed, airGiven: [...new Set(airGiven)] }, new Map());
}

export const withControllers = (scenarios: readonly Scenario[], changes: Partial<ControllerSettings>): readonly Scenario[] =>
  scenarios.map((scenario) => withController(scenario, changes));

/** A number to the nearest multiple, without the tail of a binary fraction. */
export const toNearest = (value: number, multiple: number): number => tidy(Math.round(value / multiple) * multiple);
export const upTo = (value: number, multiple: number): number => tidy(Math.ceil(value / multiple - 1e-9) * multiple);
export const downTo = (value: number, multiple: number): number => tidy(Math.floor(value / multiple + 1e-9) * multiple);
export const tidy = (value: number): number => Number(value.toPrecision(12));

/** To so many significant digits: what a gain is worth being typed in with. */
export const significant = (value: number, digits = 2): number => Number(value.toPrecision(digits));

export const clip = (value: number, low: number, high: number): number => Math.min(high, Math.max(low, value));

/** Smallest worth typing in: whole steps, half a percent for tables. */
export const coarse = (unit: '%' | 'step'): number => (unit === 'step' ? 1 : 0.5);
/** For the air of a load, which is a difference: a tenth of a percent. */
export const fine = (unit: '%' | 'step'): number => (unit === 'step' ? 1 : 0.1);

/** A number in a sentence: a true minus, no exponent. */
export const say = (value: number, digits = 3): string => String(Number(value.toPrecision(digits))).replace('-', '−');

/** Air in a sentence: `22.5 %`, `34 steps`. */
export const sayAir = (value: number, unit: '%' | 'step', digits = 3): string => {
  const number = say(value, digits);
  return unit === '%' ? `${number} %` : `${number} step${Number(value.toPrecision(digits)) === 1 ? '' : 's'}`;
};

export const unitName = (unit: '%' | 'step'): string => (unit === '%' ? '%' : 'steps');
