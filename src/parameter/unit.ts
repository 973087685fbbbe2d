/**
 * The units that parameters are documented in, and what one of each is in SI.
 *
 * A bare number in a file means the documented unit, so reading one needs this table alone; text with a unit goes
 * through mathjs (room `units`), and a test holds this table against it. Temperatures carry an offset: K = °C + 273.15.
 * `%` and `step` are dimensions of their own (a valve's command), never fractions.
 */
export const SI = {
  '1': { factor: 1, offset: 0 },
  '%': { factor: 1, offset: 0 },
  step: { factor: 1, offset: 0 },
  s: { factor: 1, offset: 0 },
  rpm: { factor: Math.PI / 30, offset: 0 },
  deg: { factor: Math.PI / 180, offset: 0 },
  '1/deg^2': { factor: (180 / Math.PI) ** 2, offset: 0 },
  'deg/rpm': { factor: 1 / 6, offset: 0 },
  degC: { factor: 1, offset: 273.15 },
  K: { factor: 1, offset: 0 },
  Pa: { factor: 1, offset: 0 },
  kPa: { factor: 1e3, offset: 0 },
  bar: { factor: 1e5, offset: 0 },
  'g/s': { factor: 1e-3, offset: 0 },
  'bar s': { factor: 1e5, offset: 0 },
  'bar s^2': { factor: 1e5, offset: 0 },
  L: { factor: 1e-3, offset: 0 },
  m: { factor: 1, offset: 0 },
  mm: { factor: 1e-3, offset: 0 },
  'mm^2': { factor: 1e-6, offset: 0 },
  'm^2': { factor: 1, offset: 0 },
  'kg m^2': { factor: 1, offset: 0 },
  kg: { factor: 1, offset: 0 },
  N: { factor: 1, offset: 0 },
  'N m': { factor: 1, offset: 0 },
  'N m s/rad': { factor: 1, offset: 0 },
  'N m s^2/rad^2': { factor: 1, offset: 0 },
  'MJ/kg': { factor: 1e6, offset: 0 },
  'J/(kg K)': { factor: 1, offset: 0 },
  'mm^2/s': { factor: 1e-6, offset: 0 },
  W: { factor: 1, offset: 0 },
  V: { factor: 1, offset: 0 },
  'km/h': { factor: 1 / 3.6, offset: 0 },
  's/rad': { factor: 1, offset: 0 },
  's^2/rad^2': { factor: 1, offset: 0 },
  'step/s': { factor: 1, offset: 0 },
  'rpm s': { factor: Math.PI / 30, offset: 0 },
  '%/s': { factor: 1, offset: 0 },
  'deg/s': { factor: Math.PI / 180, offset: 0 },
  // the valve's own unit, % or step, and gains in it: a file is read with whichever its valve has
  air: { factor: 1, offset: 0 },
  'air/rpm': { factor: 1, offset: 0 },
  'air/(rpm s)': { factor: 1, offset: 0 },
  'air s/rpm': { factor: 1, offset: 0 },
} as const satisfies Record<string, { factor: number; offset: number }>;

export type Unit = keyof typeof SI;

/** A unit as it reads with a valve in % or in steps. */
export const unitWith = (unit: Unit, air: '%' | 'step'): string => unit.replace('air', air);

/** Converts a number in its documented unit to SI. */
export const toSI = (value: number, unit: Unit): number => value * SI[unit].factor + SI[unit].offset;

/** Converts an SI number to a documented unit. */
export const fromSI = (value: number, unit: Unit): number => (value - SI[unit].offset) / SI[unit].factor;
