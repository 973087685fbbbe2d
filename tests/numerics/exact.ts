/** 64-digit values of the elementary functions, the judge of ours. Slow, so for sample points. */
import { all, create, type BigNumber, type FactoryFunctionMap } from 'mathjs';

const math = create(all as FactoryFunctionMap, { number: 'BigNumber', precision: 64 });
type Big = BigNumber;

export const big = (x: number): Big => math.bignumber(exactDecimal(x)) as Big;
export const exactExp = (x: number): Big => big(x).exp();
export const exactLog = (x: number): Big => big(x).ln();
export const exactPow = (x: number, y: number): Big => big(y).times(big(x).ln()).exp();
export const exactSin = (x: number): Big => big(x).sin();
export const exactCos = (x: number): Big => big(x).cos();

/** |value − exact| / |exact| */
export const relativeError = (value: number, exact: Big): number => big(value).minus(exact).div(exact).abs().toNumber();

/** Every digit of a double: mathjs refuses numbers of more than 15. */
function exactDecimal(x: number): string {
  if (!Number.isFinite(x)) throw new RangeError(`no decimal for ${x}`);
  // x = n·2^e with n whole; 2^e as 5^−e/10^−e for negative e.
  let e = 0;
  let n = x;
  while (!Number.isInteger(n)) {
    n *= 2;
    e--;
  }
  return e === 0 ? BigInt(n).toString() : `${(BigInt(n) * 5n ** BigInt(-e)).toString()}e${e}`;
}
