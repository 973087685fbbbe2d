/** A number as it is typed in: four digits, no exponent within what settings are, a true minus. */
export const sheetNumber = (value: number, digits = 4): string => String(Number(value.toPrecision(digits))).replace('-', '−');
