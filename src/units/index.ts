/** Quantity text to numbers in documented units, at the edge only. */
import { isUnitProblem, plainText, readPlainQuantity, splitQuantity, type UnitProblem } from './text.js';

export { isUnitProblem, plainText, readPlainQuantity, splitQuantity, type UnitProblem } from './text.js';

/** Reads a quantity's text as a number in a documented unit. */
export type UnitReader = (text: string, unit: string) => number | UnitProblem;

/** No unit that anyone writes is longer. */
const LONGEST_UNIT = 60;

/**
 * Loads the unit library and gives a reader of quantity text in any unit.
 *
 * The reader takes `0.15 kg m^2`, `5 lb ft^2`, `12 °C`, `0.02 %/rpm` and the like, and a documented unit, and returns the
 * number in that unit or why it is none. A number alone, or in the documented unit, is returned as it stands.
 */
export async function createUnitReader(): Promise<UnitReader> {
  const { convert } = await import('./conversion.js');
  return function parseQuantity(text, unit) {
    const plain = readPlainQuantity(text, unit);
    if (plain !== null) return plain;
    const split = splitQuantity(text);
    if (isUnitProblem(split)) return split;
    const shown = plainText(text);
    const result = split.unit.length > LONGEST_UNIT ? null : convert(split.value, split.unit, unit);
    if (result === null)
      return { problem: `${shown}: ${split.unit} is not a known unit; ${unit} is wanted, or what converts to it` };
    return result === 'dimension' ? { problem: `${shown} is not in ${unit}` } : result;
  };
}
