/**
 * The idle valve for small movements: command (0 … 1 of the range) to opening (0 … 1 of the travel), and opening to area.
 *
 *     solenoid        slope of its duty table at the point, supply voltage included; first-order lag
 *     stepper         1: its rate does not limit small movements, and whole steps are left to limit-cycle.ts
 *     throttle motor  ω_n²/(s² + 2ζω_n·s + ω_n²); its smallest step likewise left
 *
 * Hysteresis and backlash are left to limit-cycle.ts too: within them a valve does not follow at all.
 */
import { interpolate } from '../numerics/curve.js';
import { fraction } from '../plant/curves.js';
import type { Laws } from '../plant/laws/law.js';
import type { ValveSettings } from '../plant/valves/index.js';
import { type Complex, complex, divide } from './complex.js';
import type { Equilibrium } from './equilibrium.js';

export interface ValveResponse {
  /** d(opening)/d(command). */
  readonly gain: number;
  /** First-order lag, s; 0 for none. */
  readonly lag: number;
  /** Natural frequency, rad/s, and damping of a positioner; null without. */
  readonly positioner: { readonly frequency: number; readonly damping: number } | null;
}

export const DIRECT_VALVE: ValveResponse = { gain: 1, lag: 0, positioner: null };

/** Half width of the differences along curves that are straight between points, of the travel. */
const NEAR = 1e-6;

/**
 * Slope of a curve that is straight between its points: at a point the mean of both sides, at an end the inner side.
 * Small, so that only a point itself is rounded off.
 */
function straightSlope(f: (x: number) => number, x: number): number {
  const [low, high] = [Math.max(0, x - NEAR), Math.min(1, x + NEAR)];
  return (f(high) - f(low)) / (high - low);
}

/** @returns the response, and the slope of the effective area against the opening, m² */
export function valveResponseOf(settings: ValveSettings, laws: Pick<Laws, 'valve'>, at: Pick<Equilibrium, 'air' | 'inputs'>): { readonly valve: ValveResponse; readonly areaSlope: number } {
  switch (settings.kind) {
    case 'solenoid': {
      const duty = fraction(settings.opening);
      const supply = 1 + settings.supplySensitivity * (at.inputs.supply / settings.supplyNominal - 1);
      const opening = (command: number): number => interpolate(duty, command * supply);
      return {
        valve: { gain: straightSlope(opening, at.air), lag: settings.lag, positioner: null },
        areaSlope: straightSlope(laws.valve, opening(at.air)),
      };
    }
    case 'stepper':
      return { valve: DIRECT_VALVE, areaSlope: straightSlope(laws.valve, at.air - settings.lost / settings.steps) };
    case 'throttle-motor': {
      const { frequency, damping } = settings;
      return { valve: { gain: 1, lag: 0, positioner: { frequency, damping } }, areaSlope: straightSlope(laws.valve, at.air) };
    }
  }
}

/** Opening over command at s. */
export function valveAt({ gain, lag, positioner }: ValveResponse, s: Complex): Complex {
  if (positioner === null) return lag === 0 ? complex(gain) : divide(complex(gain), complex(1 + lag * s.re, lag * s.im));
  const { frequency, damping } = positioner;
  const square = frequency * frequency;
  const twice = 2 * damping * frequency;
  return divide(complex(gain * square), complex(s.re * s.re - s.im * s.im + twice * s.re + square, 2 * s.re * s.im + twice * s.im));
}

/** Its poles, upper half. */
export function valvePoles({ lag, positioner }: ValveResponse): readonly Complex[] {
  if (positioner === null) return lag === 0 ? [] : [complex(-1 / lag)];
  const { frequency, damping } = positioner;
  if (damping < 1) return [complex(-damping * frequency, frequency * Math.sqrt(1 - damping * damping))];
  const apart = frequency * Math.sqrt(damping * damping - 1);
  return [complex(-damping * frequency + apart), complex(-damping * frequency - apart)];
}
