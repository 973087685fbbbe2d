/** Air for a moving car and dashpot air: the smallest with which the overrun and the free-rev pass, none where none is needed. */
import { coarse, sayAir, say, unitName, upTo, withController } from './apply.js';
import type { Bench } from './bench.js';
import { type OffEngine, stallsOff } from './corners.js';
import type { SetupDrill } from './drills.js';
import type { Runner } from './prove.js';
import type { SetupRow } from './result.js';

/** Most that is tried, as a share of the valve. */
const MOST = 0.3;

type Which = 'moving' | 'dashpot';

/**
 * Smallest multiple of the step with which all drills pass, and the engine a fifth off in anything does not stall; null when
 * no air helps.
 */
function smallest(drills: readonly SetupDrill[], which: Which, bench: Bench, runner: Runner, engines: readonly OffEngine[]): number | null {
  const { full, unit } = bench.range;
  const step = coarse(unit);
  const passes = (air: number): boolean => {
    const changed = drills.map(({ scenario }) => withController(scenario, { openAir: { ...scenario.controller.openAir, [which]: air } }));
    return changed.every((scenario) => runner.run(scenario).result.passes) && !engines.some((off) => changed.some((scenario) => stallsOff(scenario, off, runner)));
  };
  if (passes(0)) return 0;
  let [low, high] = [0, Math.round((MOST * full) / step)];
  if (!passes(high * step)) {
    // what is too much for the most may be right for less
    const some = [0.1, 0.2, 0.4, 0.7].map((share) => Math.round(share * high)).find((steps) => passes(steps * step));
    if (some === undefined) return null;
    high = some;
  }
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (passes(middle * step)) high = middle;
    else low = middle;
  }
  return upTo(high * step, step);
}

/** @param present what the file says, kept where nothing can be found out */
export function openAirFor(
  drills: readonly SetupDrill[], which: Which, bench: Bench, runner: Runner, engines: readonly OffEngine[], present: number,
): { readonly air: number; readonly row: SetupRow } {
  const mine = drills.filter(({ kind }) => kind === (which === 'moving' ? 'overrun' : 'free-rev'));
  const names = mine.map(({ scenario }) => scenario.drill.name).join('; ');
  const { unit } = bench.range;
  const row = { key: `controller.openAir.${which}`, unit: unitName(unit), tried: null } as const;
  if (mine.length === 0) {
    const why = which === 'moving' ? 'kept: there is no driveline, or no drill that coasts' : 'kept: no drill revs the engine';
    return { air: present, row: { ...row, text: say(present), why, brief: 'kept: nothing tries it', provenBy: 'none', flag: null } };
  }
  const robust = smallest(mine, which, bench, runner, engines);
  const found = robust ?? smallest(mine, which, bench, runner, []);
  const what = which === 'moving' ? 'the clutch goes in after coasting' : 'the throttle shuts after a free-rev';
  if (found === null) {
    return {
      air: present,
      row: { ...row, text: say(present), why: `no air helps when ${what}`, brief: 'no air helps', provenBy: names, flag: `${names} does not pass with any air up to ${sayAir(MOST * bench.range.full, unit)}` },
    };
  }
  return {
    air: found,
    row: { ...row, text: say(found), why: found === 0 ? `none is needed when ${what}` : `the smallest with which the engine catches itself when ${what}${robust === null ? '' : ', also an engine a fifth off in any one thing'}`,
      brief: found === 0 ? 'none needed' : robust === null ? 'smallest that catches it' : 'smallest that catches it, also a fifth off', provenBy: names, flag: null },
  };
}
