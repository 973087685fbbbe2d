/** A stretch that was frozen as A, laid over the run that goes on: its last event under this one's. */
import type { TraceEvent } from '../../loop/trace.js';
import type { Scenario } from '../../scenario/table.js';
import type { TapeColumns } from './tape.js';
import { knobGroups } from '../settings.js';

export interface Ghost {
  readonly scenario: Scenario;
  /** Time of its last event, else of its end, s. */
  readonly anchorS: number;
  readonly byEvent: boolean;
  readonly timeS: Float64Array;
  readonly columns: Readonly<Record<string, Float64Array>>;
}

const LAID = ['speedRpm', 'air'] as const;

/** Freezes what a tape shows. */
export function freeze(scenario: Scenario, shown: TapeColumns, events: readonly TraceEvent[]): Ghost {
  const last = events.at(-1);
  return {
    scenario, byEvent: last !== undefined, anchorS: last?.atS ?? shown.timeS.at(-1) ?? 0, timeS: shown.timeS.slice(),
    columns: Object.fromEntries(LAID.map((name) => [name, shown[name].slice()])),
  };
}

/** A's values at the times of B, null where A has none. */
export function under(ghost: Ghost, timeS: Float64Array, anchorS: number): Readonly<Record<string, (number | null)[]>> {
  const shift = ghost.anchorS - anchorS;
  const { timeS: times } = ghost;
  const out: Record<string, (number | null)[]> = Object.fromEntries(LAID.map((name) => [name, new Array<number | null>(timeS.length).fill(null)]));
  for (let k = 0, i = 0; k < timeS.length; k++) {
    const wanted = timeS[k]! + shift;
    while (i < times.length && times[i]! < wanted - 1e-6) i++;
    if (i >= times.length) break;
    if (times[i]! - wanted > 0.2) continue;
    for (const name of LAID) out[name]![k] = ghost.columns[name]![i]!;
  }
  return out;
}

/** How B's settings differ from A's, a line each. */
export function differences(a: Scenario, b: Scenario): readonly string[] {
  const before = new Map(knobGroups(a).flatMap(({ knobs }) => knobs.map((knob) => [knob.path, knob.value] as const)));
  return knobGroups(b).flatMap(({ knobs }) => knobs.flatMap((knob) => {
    const was = before.get(knob.path);
    const text = (value: number | string | null | undefined): string => (value == null ? 'none' : String(value));
    return was === knob.value ? [] : [`${knob.path}: A ${text(was)}, now ${text(knob.value)}${knob.kind === 'number' && knob.unit !== '' ? ` ${knob.unit}` : ''}`];
  }));
}
