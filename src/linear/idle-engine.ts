/**
 * Transfer functions of the linearised engine at a complex frequency s, delays exact, and its poles. SI.
 *
 *     [ s − a₁           −a₂              ] [δp]   [ a₃·V(s)·δu          ]
 *     [ −b₁ − B·c₁   s − b₂ − B·c₂ − F/ω₀ ] [δω] = [ b₄·e^(−sτ_s)·δθ − δT/J ]
 *
 *     B(s) = D(s)·b₃ + F(s)/m₀       F(s) = D(s)·gain·X·τ_f·s/(1 + τ_f·s), nothing without a wall film
 *     D(s) = e^(−sτ)·W(s)²           W: mean over a window, 1 without one
 */
import { add, type Complex, complex, divide, magnitude, multiply, scale, subtract, turn } from './complex.js';
import { valveAt } from './idle-valve.js';
import type { LinearEngine } from './jacobian.js';
import { rightmost, zerosIn } from './zeros.js';

/** To crank speed: from the air command (0 … 1), the spark (rad) and a load torque (N·m). */
export interface EngineAt {
  readonly fromAir: Complex;
  readonly fromSpark: Complex;
  readonly fromLoad: Complex;
}

const ONE = complex(1);

/** e^s. */
export const exponential = ({ re, im }: Complex): Complex => scale(turn(im), Math.exp(re));

/** Mean over the time `length` past, (1 − e^(−s·length))/(s·length); 1 for no length. */
export function meanOver(length: number, s: Complex): Complex {
  const x = scale(s, length);
  // the series 1 − x/2 + x²/6 − x³/24 where the difference would lose its digits; the next term is x⁴/120
  if (magnitude(x) < 1e-3) {
    const inner = subtract(complex(1 / 6), scale(x, 1 / 24));
    return add(subtract(ONE, scale(x, 0.5)), multiply(multiply(x, x), inner));
  }
  return divide(subtract(ONE, exponential(scale(x, -1))), x);
}

/** What the matrix above is made of, at s. */
function matrixAt(engine: LinearEngine, s: Complex) {
  const { pressure, speed, charge, film, chargeDelay, window } = engine;
  const gathered = meanOver(window, s);
  const delayed = multiply(exponential(scale(s, -chargeDelay)), multiply(gathered, gathered));
  let byCharge = scale(delayed, speed.byCharge);
  let leaning = complex(0);
  if (film !== null) {
    const wet = scale(s, film.time);
    leaning = multiply(scale(delayed, film.gain * film.fraction), divide(wet, add(ONE, wet)));
    byCharge = add(byCharge, scale(leaning, 1 / film.charge));
    leaning = scale(leaning, 1 / film.omega);
  }
  const filling = complex(s.re - pressure.byPressure, s.im);
  const pulling = add(complex(speed.byPressure), scale(byCharge, charge.byPressure));
  const turning = subtract(complex(s.re - speed.bySpeed, s.im), add(scale(byCharge, charge.bySpeed), leaning));
  const determinant = subtract(multiply(filling, turning), scale(pulling, pressure.bySpeed));
  return { filling, pulling, determinant };
}

/** The characteristic function of the engine alone: its zeros are the engine's poles. */
export const characteristicAt = (engine: LinearEngine, s: Complex): Complex => matrixAt(engine, s).determinant;

/** Transfer functions to the crank speed at s, rad/s for each unit of what moves. */
export function engineAt(engine: LinearEngine, s: Complex): EngineAt {
  const { filling, pulling, determinant } = matrixAt(engine, s);
  const torque = divide(filling, determinant);
  const air = scale(divide(multiply(pulling, valveAt(engine.valve, s)), determinant), engine.pressure.byOpening);
  return {
    fromAir: air,
    fromSpark: multiply(scale(torque, engine.speed.bySpark), exponential(scale(s, -engine.sparkDelay))),
    fromLoad: scale(torque, engine.speed.byLoad),
  };
}

/** Poles faster than this are of no account at an idle, rad/s: they lie beyond any firing frequency's reach. */
const FASTEST = 120;

/** The engine's poles with the largest real parts, upper half, the rightmost first. With a delay there are endless others. */
export function enginePoles(engine: LinearEngine): readonly Complex[] {
  const at = (s: Complex): Complex => characteristicAt(engine, s);
  const slowest = Math.abs(engine.pressure.byPressure);
  return rightmost(zerosIn(at, { left: -3 * slowest - 30, right: 30, top: FASTEST }));
}

/**
 * Poles in the right half plane, by the argument principle: the characteristic function over (s + a)² turns by −2π for each
 * as s goes up the axis, and tends to 1 far out, since delays only weaken what they carry there.
 * @throws RangeError when a pole lies on the axis
 */
export function unstableEnginePoles(engine: LinearEngine): number {
  const a = 1 + Math.abs(engine.pressure.byPressure);
  const at = (w: number): Complex => {
    const s = complex(0, w);
    const far = complex(a, w);
    return divide(characteristicAt(engine, s), multiply(far, far));
  };
  const far = 1e5;
  const turned = turnAlong(at, [0, ...Array.from({ length: 161 }, (_, i) => far ** (i / 80 - 1))]);
  return Math.round(-turned / Math.PI) + 0; // no minus zero
}

/** Turn of a function along a path, rad, halved until no piece turns by more than a quarter of a right angle. */
export function turnAlong(f: (x: number) => Complex, path: readonly number[]): number {
  let sum = 0;
  const go = (x0: number, f0: Complex, x1: number, f1: Complex, depth: number): void => {
    const ratio = divide(f1, f0);
    const angle = Math.atan2(ratio.im, ratio.re);
    if (Math.abs(angle) < Math.PI / 8) sum += angle;
    else if (depth > 40 || !Number.isFinite(angle)) throw new RangeError('a pole on the axis');
    else {
      const middle = 0.5 * (x0 + x1);
      const fm = f(middle);
      go(x0, f0, middle, fm, depth + 1);
      go(middle, fm, x1, f1, depth + 1);
    }
  };
  let [x0, f0] = [path[0] as number, f(path[0] as number)];
  for (const x1 of path.slice(1)) {
    const f1 = f(x1);
    go(x0, f0, x1, f1, 0);
    [x0, f0] = [x1, f1];
  }
  return sum;
}
