/**
 * The exponent of a double, taken out and put back, and the rounding errors of its sums and products.
 * Byte order is stated, so the host's does not matter.
 */
const view = new DataView(new ArrayBuffer(8));

/** Low word of the exponent's fraction from which a mantissa counts as past √2. */
const PAST_ROOT_2 = 0x6a09f;

/** The k for which x = 2ᵏm with 0.7071067 < m < 1.4142137, for finite x > 0. */
export function exponentOf(x: number): number {
  view.setFloat64(0, x, false);
  const word = view.getUint32(0, false);
  const biased = word >>> 20;
  if (biased === 0) return exponentOf(x * 18014398509481984) - 54; // subnormal: × 2⁵⁴, exact
  return biased - 1023 + ((word & 0xfffff) >= PAST_ROOT_2 ? 1 : 0);
}

/** x·2ᵏ, rounded once, for k from −2044 to 2046. */
export function scale(x: number, k: number): number {
  if (k < -1022 || k > 1023) {
    const half = k >> 1;
    return scale(scale(x, half), k - half);
  }
  view.setUint32(0, (k + 1023) << 20, false);
  view.setUint32(4, 0, false);
  return x * view.getFloat64(0, false);
}

/** a + b − sum, exactly, where `sum` is a + b as rounded (D. E. Knuth, The Art of Computer Programming, vol. 2, 4.2.2). */
export function sumRest(a: number, b: number, sum: number): number {
  const bPart = sum - a;
  return a - (sum - bPart) + (b - bPart);
}

/** a·b − product, exactly, where `product` is a·b as rounded and nothing over- or underflows (T. J. Dekker, 1971). */
export function productRest(a: number, b: number, product: number): number {
  const aSplit = a * 134217729;
  const aHigh = aSplit - (aSplit - a);
  const aLow = a - aHigh;
  const bSplit = b * 134217729;
  const bHigh = bSplit - (bSplit - b);
  const bLow = b - bHigh;
  return aHigh * bHigh - product + aHigh * bLow + aLow * bHigh + aLow * bLow;
}
