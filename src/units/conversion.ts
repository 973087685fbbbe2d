/**
 * Units by mathjs: its class of units alone, over plain numbers, which keeps a bundle at a fifth of the whole and the
 * start at a tenth (where a bundler splits this file off: esbuild --splitting). This file is the one place that names mathjs.
 */
import { createUnitClass } from 'mathjs';

interface MathUnit {
  toNumber(unit: string): number;
  /** A number where the units cancel. */
  divide(by: MathUnit): MathUnit | number;
}

interface MathUnitClass {
  parse(text: string): MathUnit;
  createUnit(definitions: Record<string, string | { readonly aliases?: readonly string[] }>): void;
}

declare module 'mathjs' {
  /** The factory of the class of units, left out of the package's own types. */
  export function createUnitClass(parts: Record<string, unknown>): MathUnitClass;
}

/** A ratio such as 5/9 of the Fahrenheit scale: a number as soon as it is reckoned with. */
class Ratio {
  constructor(
    readonly above: number,
    readonly below: number,
  ) {}
  valueOf(): number {
    return this.above / this.below;
  }
}

/** Stands for the number types that are not used. */
class Unused {}

const Unit = createUnitClass({
  config: { number: 'number', predictable: false },
  addScalar: (a: number, b: number) => a + b,
  subtractScalar: (a: number, b: number) => a - b,
  multiplyScalar: (a: number, b: number) => a * b,
  divideScalar: (a: number, b: number) => a / b,
  pow: (a: number, b: number) => a ** b,
  abs: Math.abs,
  fix: Math.trunc,
  round: Math.round,
  equal: (a: number, b: number) => a === b,
  isNumeric: (a: unknown) => typeof a === 'number' || a instanceof Ratio,
  format: String,
  number: Number,
  Complex: Unused,
  BigNumber: Unused,
  Fraction: Ratio,
});

// mathjs has no rpm; % and step are dimensions of their own, never fractions
Unit.createUnit({ rpm: '360 deg/minute', step: { aliases: ['steps'] }, percent: {} });

/** A unit as mathjs reads it: `%` by name, and no number before a stroke. */
const inMathjs = (unit: string): string => unit.replace(/%/g, ' percent ').replace(/^1\//, '/').trim();

/**
 * A value in one unit as a number in another.
 *
 * @returns null when `from` is not a unit; 'dimension' when the two do not convert
 */
export function convert(value: number, from: string, to: string): number | 'dimension' | null {
  const text = inMathjs(from);
  let given: MathUnit;
  try {
    given = Unit.parse(`${value}${text.startsWith('/') ? '' : ' '}${text}`);
  } catch {
    return null;
  }
  try {
    const target = inMathjs(to);
    const result = target.startsWith('/') ? given.divide(Unit.parse(`1${target}`)) : given.toNumber(target);
    if (typeof result !== 'number') return 'dimension';
    return Number.isFinite(result) ? result : null;
  } catch {
    return 'dimension';
  }
}
