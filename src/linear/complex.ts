/** Complex numbers as plain pairs: enough for a frequency response. Away from the hot loop, so they may be allocated. */

export interface Complex {
  readonly re: number;
  readonly im: number;
}

export const complex = (re: number, im = 0): Complex => ({ re, im });
export const add = (a: Complex, b: Complex): Complex => ({ re: a.re + b.re, im: a.im + b.im });
export const subtract = (a: Complex, b: Complex): Complex => ({ re: a.re - b.re, im: a.im - b.im });
export const multiply = (a: Complex, b: Complex): Complex => ({ re: a.re * b.re - a.im * b.im, im: a.re * b.im + a.im * b.re });
export const scale = (a: Complex, by: number): Complex => ({ re: a.re * by, im: a.im * by });

/** a/b, scaled so that it overflows only where the quotient does. Source: R. L. Smith, Algorithm 116, CACM 5 (1962) 435. */
export function divide(a: Complex, b: Complex): Complex {
  if (Math.abs(b.re) >= Math.abs(b.im)) {
    const r = b.im / b.re;
    const d = b.re + b.im * r;
    return { re: (a.re + a.im * r) / d, im: (a.im - a.re * r) / d };
  }
  const r = b.re / b.im;
  const d = b.re * r + b.im;
  return { re: (a.re * r + a.im) / d, im: (a.im * r - a.re) / d };
}

export const magnitude = ({ re, im }: Complex): number => Math.hypot(re, im);
/** −π … π. */
export const phase = ({ re, im }: Complex): number => Math.atan2(im, re);
/** e^(jφ). */
export const turn = (phi: number): Complex => ({ re: Math.cos(phi), im: Math.sin(phi) });
