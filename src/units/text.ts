/** Quantity text: typographic forms made plain, and the number told from the unit. No unit library is needed for this. */

/** Why a text is not a quantity in the unit wanted; reads on after the name of what was being set. */
export interface UnitProblem {
  readonly problem: string;
}

const PLAIN: readonly (readonly [RegExp, string])[] = [
  [/\s+/gu, ' '], // no-break and thin spaces among them
  [/−/g, '-'],
  [/°\s?C/g, 'degC'],
  [/°\s?F/g, 'degF'],
  [/°/g, 'deg'],
  [/²/g, '^2'],
  [/³/g, '^3'],
  [/\s?[·⋅]\s?/g, ' '],
  [/[µμ]/g, 'u'],
  [/ ?\/ ?/g, '/'],
];

/** The text in the plain form that units are documented in: `0.15 kg·m²` becomes `0.15 kg m^2`. */
export const plainText = (text: string): string => PLAIN.reduce((t, [from, to]) => t.replace(from, to), text).trim();

const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?/;

/** Why a text that is plain already does not begin with a decimal number. */
function numberProblem(text: string, digits: string | undefined): string | null {
  if (text === '') return 'is empty; a number is wanted';
  if (/^[+-]?\.?(inf|infinity|nan)\b/i.test(text)) return `${text} is not a finite number`;
  if (digits === undefined) return `${text} is not a number`;
  const rest = text.slice(digits.length);
  if (/^[+-]?0[xob][0-9a-f]+$/i.test(text)) return `${text} is not decimal; write ${Number(text.replace(/^[+-]/, ''))}`;
  if (/^[+-]?0\d/.test(digits)) return `${text} has a leading zero; write ${Number(digits)}`;
  if (/^_\d/.test(rest)) return `${text} has an underscore in its number; write ${text.replace(/_/g, '')}`;
  if (/^,\d/.test(rest)) return `${text} has a comma in its number; write a decimal point, and no mark between thousands`;
  if (rest !== '' && !/^[\p{L} %/(]/u.test(rest)) return `${text} is not a number`;
  return Number.isFinite(Number(digits)) ? null : `${text} is not a finite number`;
}

/** Number and unit of a text; the unit is '' when there is none. */
export function splitQuantity(text: string): { readonly value: number; readonly unit: string } | UnitProblem {
  const plain = plainText(text);
  const digits = NUMBER.exec(plain)?.[0];
  const problem = numberProblem(plain, digits);
  if (problem !== null || digits === undefined) return { problem: problem ?? `${plain} is not a number` };
  return { value: Number(digits), unit: plain.slice(digits.length).trim() };
}

export const isUnitProblem = (result: unknown): result is UnitProblem =>
  typeof result === 'object' && result !== null && 'problem' in result;

/**
 * Reads what needs no unit library: a bare number, or a number in the very unit that is documented.
 *
 * @param unit documented unit, as in the table of units, with `%` or `step` for a valve's own
 * @returns the number in that unit; a problem; or null when the text is in some other unit
 */
export function readPlainQuantity(text: string, unit: string): number | UnitProblem | null {
  const split = splitQuantity(text);
  if (isUnitProblem(split)) return split;
  if (split.unit === '' || split.unit === unit) return split.value;
  return unit === '1' ? { problem: `${plainText(text)} has a unit; a plain number is wanted` } : null;
}
