/**
 * Limit cycles that an actuator's imperfections add to a loop that is stable without them, by describing functions: the
 * actuator is replaced by its gain N(A) for a sine of amplitude A, and a cycle stands where N(A)·L(jω) = −1. L is the loop
 * broken at the valve, everything else closed.
 *
 *     whole steps   level midway between two steps: N = 2q/(πA), A < q          q: one step, in the unit of the command
 *     play          N = (π/2 + asin(1 − 2r) + 2(1 − 2r)√(r(1 − r)))/π − j·4r(1 − r)/π     r = half the play over A
 *
 * Source: A. Gelb and W. E. Vander Velde, Multiple-Input Describing Functions and Nonlinear System Design, 1968, app. B
 * (formulas from memory; tests hold both against the first harmonic worked out by quadrature).
 *
 * Told badly: a level that does not lie midway (the cycle is then lopsided, slower and smaller); steps and play together;
 * cycles that are no sines, where the loop lets the third harmonic through; the rounding of the reading, which adds its own.
 */
import type { ValveSettings } from '../plant/valves/index.js';
import { findRoot } from '../numerics/root.js';
import { add, type Complex, complex, magnitude, multiply, phase, scale } from './complex.js';
import { idleLoop, type LinearIdle } from './idle.js';
import { exponential } from './idle-engine.js';
import { marginsOf } from './margins.js';
import type { FrequencyResponse } from './response.js';

export interface LimitCycle {
  /** Amplitude, half the swing: of the command before the imperfection, in its unit, and of the sensed speed. */
  readonly command: number;
  readonly speedRpm: number;
  readonly hz: number;
  /** Amplitude of the speed that a knock must exceed to start it, rpm; null when it starts by itself. */
  readonly thresholdRpm: number | null;
}

export interface LimitCycleAnswer {
  readonly cycle: LimitCycle | null;
  /** Why there is none. */
  readonly because: string | null;
}

export const NO_STEPS = 'the valve has no steps';
export const NO_PLAY = 'the valve has no play';
export const NO_AIR_LOOP = 'no air loop';

const none = (because: string): LimitCycleAnswer => ({ cycle: null, because });

/** The loop broken at the valve. */
const valveLoop = (idle: LinearIdle) => idleLoop(idle, idle.controller.sparkActs ? 'airBreak' : 'air');

/** One step, and the whole play, of a valve in the unit of the command; 0 where it has none. */
export function imperfections(valve: ValveSettings, idle: Pick<LinearIdle, 'airFull' | 'engine'>): { readonly step: number; readonly play: number } {
  switch (valve.kind) {
    case 'stepper':
      return { step: idle.airFull / valve.steps, play: (valve.backlash * idle.airFull) / valve.steps };
    case 'throttle-motor':
      return { step: (valve.smallest / 100) * idle.airFull, play: 0 };
    case 'solenoid':
      return { step: 0, play: idle.engine.valve.gain > 0 ? (valve.hysteresis / 100 / idle.engine.valve.gain) * idle.airFull : 0 };
  }
}

/** How far one step moves the speed at which the engine comes to rest, rpm, the spark loop closed. */
export function stepSpeedRpm(idle: LinearIdle, step: number): number {
  const slow = idle.plant(1e-3);
  const spark = multiply(idle.controller.spark(exponential(complex(0, 1e-3 * idle.controller.periodS))), slow.spark);
  return (step * magnitude(slow.air)) / magnitude(add(complex(1), spark));
}

/** Speed amplitude that a command amplitude at a frequency answers to. */
const speedOf = (idle: LinearIdle, command: number, omega: number): number =>
  command / magnitude(idle.controller.air(exponential(complex(0, omega * idle.controller.periodS))));

/**
 * The cycle of a valve of whole steps whose integral never finds a step that is right.
 *
 * @param step in the unit of the command  @param deadBandRpm error within which the integral stands still
 */
export function stepCycle(idle: LinearIdle, step: number, deadBandRpm: number): LimitCycleAnswer {
  if (!(step > 0)) return none(NO_STEPS);
  if (!idle.controller.airActs) return none(NO_AIR_LOOP);
  if (!idle.controller.integrates) return none('without an integral the speed may rest off its target, where a step suits');
  const between = stepSpeedRpm(idle, step);
  if (between <= 2 * deadBandRpm) return none(`one step moves the speed by ${round(between)} rpm, and the dead band of ±${round(deadBandRpm)} rpm always holds a step at rest`);
  const margins = marginsOf(valveLoop(idle));
  if (margins.gainMargin === null || margins.gainMarginAt === null) return none('the loop has no phase crossover at which steps could swing');
  const command = (2 * step) / (Math.PI * margins.gainMargin);
  return { cycle: { command, speedRpm: speedOf(idle, command, margins.gainMarginAt), hz: margins.gainMarginAt / (2 * Math.PI), thresholdRpm: null }, because: null };
}

/** Describing function of play. @param r half the play over the amplitude, 0 … 1 */
export function playGain(r: number): Complex {
  const in1 = Math.PI / 2 + Math.asin(1 - 2 * r) + 2 * (1 - 2 * r) * Math.sqrt(r * (1 - r));
  return complex(in1 / Math.PI, (-4 * r * (1 - r)) / Math.PI);
}

/** Frequencies looked at for the phase, and ratios of half the play to the amplitude: from a hundredth to just below 1. */
const LOOKS = 120;
const RATIOS = Array.from({ length: 60 }, (_, i) => 0.01 + (i / 59) * 0.97);

/** Where −1/N meets the loop's phase, the lowest such frequency, and the logarithm by which the loop then exceeds it. */
function balance(loop: FrequencyResponse, r: number): { readonly omega: number; readonly excess: number } | null {
  const gain = playGain(r);
  const turned = (omega: number): number => phase(scale(multiply(gain, loop.at(omega)), -1));
  let before = loop.from;
  let was = turned(before);
  for (let i = 1; i <= LOOKS; i++) {
    const omega = loop.from * (loop.to / loop.from) ** (i / LOOKS);
    const now = turned(omega);
    if (was > 0 !== now > 0 && Math.abs(was - now) < Math.PI) {
      const found = findRoot(turned, before, omega, 1e-9, 'frequency of the cycle');
      return { omega: found, excess: Math.log(magnitude(multiply(gain, loop.at(found)))) };
    }
    [before, was] = [omega, now];
  }
  return null;
}

/**
 * The cycle that a valve's play (hysteresis, backlash) sustains: swings larger than it shrink, smaller ones grow, down to a
 * threshold, where there is one, below which they die in the play.
 *
 * @param play whole width, in the unit of the command
 */
export function playCycle(idle: LinearIdle, play: number): LimitCycleAnswer {
  if (!(play > 0)) return none(NO_PLAY);
  if (!idle.controller.airActs) return none(NO_AIR_LOOP);
  const loop = valveLoop(idle);
  const at = RATIOS.map((r) => ({ r, excess: balance(loop, r)?.excess ?? Number.NaN }));
  const crossing = (from: number, rising: boolean): number | null => {
    for (let i = from; i < at.length; i++) {
      const [a, b] = [at[i - 1] as (typeof at)[number], at[i] as (typeof at)[number]];
      if (rising ? a.excess < 0 && b.excess >= 0 : a.excess > 0 && b.excess <= 0) return i;
    }
    return null;
  };
  const cycleAt = (i: number): { command: number; speedRpm: number; omega: number } => {
    const r = findRoot((x) => balance(loop, x)?.excess ?? Number.NaN, at[i - 1]!.r, at[i]!.r, 1e-7, 'amplitude of the cycle');
    const { omega } = balance(loop, r) as { omega: number };
    const command = play / 2 / r;
    return { command, speedRpm: speedOf(idle, command, omega), omega };
  };
  const up = crossing(1, true);
  if (up === null) return none('play turns the loop by less than it has to spare at every amplitude');
  const { command, speedRpm, omega } = cycleAt(up);
  const down = crossing(up + 1, false);
  return { cycle: { command, speedRpm, hz: omega / (2 * Math.PI), thresholdRpm: down === null ? null : cycleAt(down).speedRpm }, because: null };
}

const round = (value: number): number => Number(value.toPrecision(2));
