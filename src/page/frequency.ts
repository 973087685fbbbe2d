/** A scenario's loops against frequency, and their margins, as plain data that a picture can be drawn from. */
import type { Setup } from '../loop/setup.js';
import { idleLoop, idleMargins, linearIdleOf } from '../linear/idle.js';
import { BREAKS, type BreakName } from '../linear/idle-loops.js';
import { type LoopCurve, loopCurve } from '../linear/loop-curve.js';
import type { MarginName, Margins } from '../linear/margins.js';
import { follow } from '../linear/trace-response.js';
import { LOOP_NAMES } from '../report/margins.js';
import { marginsWords } from '../report/margins-words.js';

export interface LoopLine {
  readonly name: string;
  readonly hz: readonly number[];
  readonly db: readonly number[];
  /** Followed from the lowest frequency on, so that it does not jump at ±180°. */
  readonly deg: readonly number[];
}

export interface LoopNumbers {
  readonly name: string;
  readonly numbers: Readonly<Record<MarginName, number | null>>;
  readonly reasons: Margins['reasons'];
}

export interface Frequency {
  readonly stable: boolean | null;
  readonly worstMs: number | null;
  readonly words: readonly string[];
  readonly loops: readonly LoopNumbers[];
  readonly lines: readonly LoopLine[];
}

/** Points of a line that a screen can tell apart. */
const MOST_POINTS = 600;

function lineOf(name: string, { omegas, db, deg }: LoopCurve): LoopLine {
  const every = Math.max(1, Math.ceil(omegas.length / MOST_POINTS));
  const kept = <T>(items: readonly T[]): readonly T[] => items.filter((_, i) => i % every === 0 || i === items.length - 1);
  return { name, hz: kept(omegas.map((omega) => omega / (2 * Math.PI))), db: kept(db), deg: kept(deg) };
}

/** The loops that act, the whole one first. @returns why there is no linear model, as text, where there is none */
export function frequencyOf(setup: Setup): Frequency | string {
  try {
    const idle = linearIdleOf(setup);
    const { loops, stable, ...found } = idleMargins(idle);
    const { airActs, sparkActs } = idle.controller;
    const drawn: readonly BreakName[] = airActs && sparkActs ? ['both', 'air', 'spark'] : airActs ? ['air'] : sparkActs ? ['spark'] : [];
    return {
      stable, worstMs: found.worstMs,
      words: marginsWords({ loops, stable, ...found }, setup.controller),
      loops: BREAKS.flatMap((name) => {
        const margins = loops[name];
        if (margins === null) return [];
        const { reasons, gainCrossovers: _gain, phaseCrossovers: _phase, stable: _stable, unstablePoles: _poles, ...numbers } = margins;
        return [{ name: LOOP_NAMES[name], numbers, reasons }];
      }),
      lines: drawn.map((name) => lineOf(LOOP_NAMES[name], loopCurve(follow(idleLoop(idle, name)).points))),
    };
  } catch (error) {
    if (error instanceof RangeError) return error.message;
    throw error;
  }
}
