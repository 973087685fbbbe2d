/**
 * The function of T. Ishigami and T. Homma, An importance quantification technique in uncertainty analysis for computer models,
 * Proceedings of ISUMA (1990) 398–403, with a = 7 and b = 0.1 (other constants are in use too); inputs even in −π … π.
 *
 * Its variance and parts in closed form: V = 1/2 + a²/8 + bπ⁴/5 + b²π⁸/18, V₁ = (1 + bπ⁴/5)²/2, V₂ = a²/8, V₁₃ = 8b²π⁸/225,
 * mean a/2.
 */
const [A, B] = [7, 0.1];

export const ishigami = ([x = 0, y = 0, z = 0]: ArrayLike<number> & Iterable<number>): number => Math.sin(x) + A * Math.sin(y) ** 2 + B * z ** 4 * Math.sin(x);

/** Of a point of the unit cube. */
export const onCube = (point: ArrayLike<number>): number => ishigami(Array.from(point, (u) => Math.PI * (2 * u - 1)));

export const CLOSED = {
  mean: 3.5,
  variance: 13.8445879407193,
  first: [0.313905191147811, 0.442411144790041, 0],
  total: [0.557588855209959, 0.442411144790041, 0.243683664062148],
};
