/** Limits of the air command: a floor that a wind-down cannot stall on, and a ceiling above all that may be asked for. */
import type { ControllerSettings } from '../controller/parameters.js';
import { interpolate } from '../numerics/curve.js';
import { coarse, clip, downTo, sayAir, say, unitName, upTo, withController } from './apply.js';
import type { Bench } from './bench.js';
import { HOT_C, type SetupDrill } from './drills.js';
import type { Runner } from './prove.js';
import { HEIGHT_M } from './other-air.js';
import type { SetupRow } from './result.js';

/** Share of the hottest settled command that the loop must be able to take off: thin air, a purge, a warm day. Assumed. */
const LOOP_NEEDS = 0.3;
/** The least that it must be able to take off, where the floor must be higher to save the engine. */
const LOOP_NEEDS_LEAST = 0.15;
/** Room above all loads together at the coldest, as a share of the valve. Assumed. */
const MARGIN = 0.1;
/** Entry as if there were no window: the loop closes as the throttle shuts, and winds down all the way. */
const NO_WINDOW = { windowRpm: 8000, hysteresisRpm: 3000 } as const;

/** What the ceiling must leave room for: settled commands without loads, at the coldest, and what all loads cost there. */
export interface ColdNeeds {
  readonly coldest: number;
  /** The same at `HEIGHT_M`; null where the engine knows no height. */
  readonly high: number | null;
  readonly loads: number;
}

export function clampFor(
  drills: readonly SetupDrill[], bench: Bench, runner: Runner, { coldest, high, loads }: ColdNeeds,
): { readonly clamp: ControllerSettings['clamp']; readonly rows: readonly SetupRow[] } {
  const { controller } = drills[0]!.scenario;
  const { unit, full } = bench.range;
  const step = coarse(unit);
  const hottest = bench.airAt(HOT_C, interpolate(controller.targetRpm, HOT_C));
  const most = Math.max(0, downTo((1 - LOOP_NEEDS_LEAST) * hottest, step));
  const wound = drills.filter(({ kind, hot }) => hot && kind === 'free-rev');
  const stalls = (lowest: number): boolean =>
    wound.some(({ scenario }) => {
      const changed = withController(scenario, { clamp: { lowest, highest: full }, entry: { ...controller.entry, ...NO_WINDOW } });
      return runner.run(changed).result.scored.stalled;
    });
  // the floor in steps; at 0 a wound-down loop has only the leak past the throttle
  let floor: number;
  let survives = true;
  if (wound.length === 0 || !stalls(0)) floor = 0;
  else if (stalls(most)) [floor, survives] = [most, false];
  else {
    let [low, high] = [0, Math.round(most / step)];
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (stalls(middle * step)) low = middle;
      else high = middle;
    }
    floor = high * step;
  }
  // as high as the loop's need lets it: the floor is for what no drill here shows
  const lowest = clip(Math.max(floor, downTo((1 - LOOP_NEEDS) * hottest, step)), 0, full);
  const starting = Math.max(...controller.start.cranking.y, coldest + Math.max(...controller.start.after.y));
  const loaded = Math.max(coldest, high ?? coldest) + loads;
  const needed = Math.max(loaded, starting);
  const highest = Math.min(full, upTo(needed + MARGIN * full, step));
  return {
    clamp: { lowest, highest },
    rows: [
      {
        key: 'controller.clamp.lowest', text: say(lowest), unit: unitName(unit),
        why:
          `hottest settled command ${sayAir(hottest, unit)} less the ${say(100 * (1 - lowest / hottest), 2)} % of it that the loop must be able to take off; ` +
          (wound.length === 0 ? 'no drill winds the loop down'
            : !survives ? 'a loop that winds down from 3000 rpm with no window still stalls on it, so that it is the window that saves the engine'
              : floor === 0 ? 'a loop that winds down from a free-rev with no window does not stall even on a shut valve'
                : `a loop that winds down from a free-rev with no window stalls below ${sayAir(floor, unit)}, and not on this`),
        brief: floor === 0 ? 'hot command less what the loop takes off' : survives ? 'a loop wound down does not stall on it' : 'hot command less the least the loop needs',
        provenBy: wound.map(({ scenario }) => scenario.drill.name).join('; ') || 'none',
        flag: null, tried: null,
      },
      {
        key: 'controller.clamp.highest', text: say(highest, 4), unit: unitName(unit),
        why:
          (starting > loaded
            ? `the most that a cold start asks for, ${sayAir(starting, unit)}`
            : `coldest settled command ${sayAir(coldest, unit)}${high === null ? '' : ` (${sayAir(high, unit)} at ${HEIGHT_M} m)`} and every load on (${sayAir(loads, unit)} cold)`) +
          (highest === full ? '; that and what is wanted in hand is the whole valve' : `, and ${say(100 * MARGIN)} % of the valve in hand`),
        brief: starting > loaded ? 'most that a cold start asks for, and a tenth' : `cold, all loads${high === null ? '' : `, ${HEIGHT_M} m`}, and a tenth`,
        provenBy: 'loads, cold',
        flag: coldest + loads > full ? `cold and with every load on the engine needs ${sayAir(coldest + loads, unit, 4)}, and the valve ends at ${sayAir(full, unit)}` : null,
        tried: null,
      },
    ],
  };
}
