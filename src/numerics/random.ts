/**
 * Seeded random numbers, the same bits on every machine: sfc32 (C. Doty-Humphrey, PractRand), 128 bits of state of which
 * 32 are a counter, so that no cycle is shorter than 2³².
 */

export interface Random {
  /** Uniform in [0, 1), a multiple of 2⁻³². */
  uniform(): number;
  /**
   * Bell-shaped scatter of mean 0 and variance 1: twelve uniforms minus six (Irwin–Hall). The uniforms are taken at the
   * middle of their 2⁻³² cell, so the mean is exactly 0; the variance is 1 − 2⁻⁶⁴. Bounded within ±6 and a little thin
   * beyond 3 (kurtosis 2.9 where the normal law has 3), which suits torque scatter: no firing is ever absurd.
   */
  normal(): number;
  /** The four words of state, each 0 … 2³² − 1, the counter last. */
  state(): readonly number[];
}

const WARM_UP = 12;

/**
 * A generator of its own stream for each seed. Each word of state is hashed from the one before it (the mixing function
 * of splitmix32, a bijection), so different seeds never start alike and neighbouring seeds share nothing; then the state
 * is turned over twelve times.
 * @param seed whole number, 0 … 2⁵³ − 1
 * @throws RangeError on any other seed
 */
export function createRandom(seed: number): Random {
  if (!(Number.isSafeInteger(seed) && seed >= 0)) {
    throw new RangeError(`seed: needs a whole number, 0 to ${Number.MAX_SAFE_INTEGER}; given ${seed}`);
  }
  const high = Math.floor(seed / 0x100000000);
  const low = seed - high * 0x100000000;
  // Words in an array of their own: a number of 32 bits kept in a closure may cost an allocation at each change.
  const s = new Int32Array(4);
  s[0] = mix(low);
  s[1] = mix((s[0] as number) + high);
  s[2] = mix(s[1] as number);
  s[3] = 1;
  for (let i = 0; i < WARM_UP; i++) next(s);

  return {
    uniform: () => next(s) / 0x100000000,
    normal() {
      let sum = 0;
      for (let i = 0; i < 12; i++) sum += next(s);
      return (sum + 6) / 0x100000000 - 6;
    },
    state: () => Array.from(s, (word) => word >>> 0),
  };
}

/** The next word, 0 … 2³² − 1. */
function next(s: Int32Array): number {
  const b = s[1] as number;
  const c = s[2] as number;
  const count = s[3] as number;
  const word = ((((s[0] as number) + b) | 0) + count) | 0;
  s[0] = b ^ (b >>> 9);
  s[1] = (c + (c << 3)) | 0;
  s[2] = (((c << 21) | (c >>> 11)) + word) | 0;
  s[3] = (count + 1) | 0;
  return word >>> 0;
}

/** One step of splitmix32: add the golden ratio's bits, then mix. */
function mix(word: number): number {
  let z = (word + 0x9e3779b9) | 0;
  z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
  z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
  return z ^ (z >>> 15);
}
