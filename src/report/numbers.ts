/**
 * How every number on a terminal or a sheet is written: one place, so that two tables never disagree.
 *
 * Decimals follow what a reader can use: a speed to the rpm, a time to the hundredth below ten seconds. A minus sign is
 * U+2212, as wide as a plus; there is no minus zero. A difference always carries its sign, and one that is nothing at the
 * decimals shown is ±0. These texts are for people; files of numbers are written elsewhere, at full precision.
 */

/** Decimals for a magnitude, per unit; a unit not listed gets four significant digits. */
const DECIMALS: Readonly<Record<string, (size: number) => number>> = {
  rpm: (size) => (size < 10 ? 1 : 0),
  s: (size) => (size < 10 ? 2 : size < 100 ? 1 : 0),
  '%': (size) => (size < 100 ? 1 : 0),
  step: (size) => (size < 10 ? 1 : 0),
  '°': (size) => (size < 10 ? 2 : 1),
  '°BTDC': () => 1,
  Hz: () => 2,
  rpm·s: (size) => (size < 100 ? 1 : 0),
  '%/s': (size) => (size < 10 ? 2 : 1),
  'km/h': () => 1,
  kPa: () => 1,
  'g/s': () => 2,
  'kg/h': () => 2,
  N·m: () => 1,
  score: (size) => (size < 10 ? 3 : size < 100 ? 2 : 1),
};

const SIGNIFICANT = 4;

/** Writes a minus as U+2212 and drops the sign of a zero. */
function tidy(text: string): string {
  const zero = !/[1-9]/.test(text);
  return text
    .replace(/^-/, zero ? '' : '−')
    .replace('e-', 'e−')
    .replace('e+', 'e');
}

function significant(value: number): string {
  return String(Number(value.toPrecision(SIGNIFICANT)));
}

/**
 * A number as it is printed, without its unit.
 *
 * @param unit a key of the table above; any other text gives four significant digits
 * @throws RangeError if the value is not finite: what does not exist is null, with a reason
 */
export function formatNumber(value: number, unit = ''): string {
  if (!Number.isFinite(value)) throw new RangeError(`cannot print ${value}; what does not exist is null, with a reason`);
  const decimals = DECIMALS[unit];
  const size = Math.abs(value);
  return tidy(decimals === undefined || size >= 1e15 ? significant(value) : value.toFixed(decimals(size)));
}

/** A number with its unit. @throws RangeError as `formatNumber` */
export const withUnit = (value: number, unit: string): string =>
  unit === '' ? formatNumber(value) : `${formatNumber(value, unit)} ${unit}`;

/** A time in seconds, with its unit. @throws RangeError as `formatNumber` */
export const seconds = (value: number): string => withUnit(value, 's');

/** A difference with its sign; ±0 when nothing is left at the decimals shown. @throws RangeError as `formatNumber` */
export function signed(value: number, unit = ''): string {
  const text = formatNumber(value, unit);
  if (!/[1-9]/.test(text)) return '±0';
  return value > 0 ? `+${text}` : text;
}

/** A value on an axis whose marks are `step` apart: as many decimals as the step needs, the same for every mark. */
export function formatMark(value: number, step: number): string {
  const exponent = Math.floor(Math.log10(step) + 1e-9);
  if (exponent > 12 || exponent < -9) return tidy(significant(value));
  const scaled = step / 10 ** exponent;
  const decimals = Math.max(0, -exponent + (Math.abs(scaled - Math.round(scaled)) > 1e-6 ? 1 : 0));
  return tidy(value.toFixed(decimals));
}

/** `1 event`, `2 events`. */
export const plural = (count: number, one: string, many = `${one}s`): string => `${count} ${count === 1 ? one : many}`;
