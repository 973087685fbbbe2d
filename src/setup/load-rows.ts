/** Rows of the loads' air: what it is, and whether the loop makes up for the cold, by the load's own drill on a cold engine. */
import type { ControllerSettings } from '../controller/parameters.js';
import { toSI } from '../parameter/unit.js';
import type { Scenario } from '../scenario/index.js';
import { fine, say, sayAir, unitName } from './apply.js';
import type { Bench } from './bench.js';
import { COLD_C, noLimits } from './drills.js';
import type { LoadAir, LoadCost } from './loads.js';
import type { Runner } from './prove.js';
import type { SetupRow } from './result.js';

/** Difference between hot and cold that is worth saying, as a share. */
const WORTH_SAYING = 0.1;

/** How the load's own drill goes with the engine cold, in words; flagged where it stalls or nearly does. */
function coldDrill(drill: Scenario, name: string, runner: Runner): { readonly text: string; readonly flag: string | null } {
  const { start } = drill.drill;
  // limits of the file are meant for the drill as it stands there
  const cold: Scenario = { ...drill, limits: noLimits(drill), drill: { ...drill.drill, start: { ...start, coolant: toSI(COLD_C, 'degC'), oil: null } } };
  const { result } = runner.run(cold);
  if (!result.safe) return { text: '', flag: `${name}: at ${say(COLD_C)} °C its drill does not pass: ${result.verdict}` };
  const { sagRpm, flareRpm } = result.scored.metrics;
  const most = (what: string, rpm: number | null): string => (rpm === null ? '' : `${what} ${rpm.toFixed(0)} rpm, `);
  return { text: `; in its drill there it ${most('sags', sagRpm)}${most('flares', flareRpm)}and ${result.passes ? 'settles' : 'does not settle in the time of the drill'}`, flag: null };
}

/** What the air lacks or has too much of on the cold engine, and whether the loop's limits let it make that up. */
function coldAir({ air }: LoadAir, { rpm, without, cost }: LoadCost, clamp: ControllerSettings['clamp'], bench: Bench): { readonly text: string; readonly short: string | null } {
  const { unit } = bench.range;
  const lacks = cost - air;
  const needed = without + cost;
  const differs = Math.abs(lacks) > WORTH_SAYING * cost && Math.abs(lacks) >= fine(unit);
  const short = needed > clamp.highest ? `cold at ${say(rpm, 4)} rpm with it the engine needs ${sayAir(needed, unit, 4)}, and the clamp ends at ${sayAir(clamp.highest, unit, 4)}` : null;
  return {
    short,
    text:
      `at ${say(COLD_C)} °C it is worth ${sayAir(cost, unit)}` +
      (differs ? `: the loop must ${lacks > 0 ? 'add' : 'take off'} ${sayAir(Math.abs(lacks), unit)} while cold` : '') +
      (short === null ? `, and the clamp leaves ${sayAir(clamp.highest - without - Math.min(air, cost), unit)} for that` : ''),
  };
}

/**
 * The row of a load's air.
 *
 * @param drill in which the load comes on, with every setting in place; null when no drill switches it
 */
export function loadRow(found: LoadAir, index: number, drill: Scenario | null, clamp: ControllerSettings['clamp'], bench: Bench, runner: Runner): SetupRow {
  const { load: { name, speedUpRpm }, air, hot, cold } = found;
  const { unit, full } = bench.range;
  const row = { key: `controller.loads.${index}.air`, text: say(air), unit: unitName(unit), tried: null } as const;
  if (hot === null || cold === null) {
    return {
      ...row, why: `${name}: kept as the file says; no drill switches it, so that nothing is known of its size`, brief: 'kept: no drill switches it',
      provenBy: 'none', flag: `${name}: no drill switches this load; give it a drill, or take its air from the car`,
    };
  }
  const inCold = coldAir(found, cold, clamp, bench);
  const went = drill === null ? null : coldDrill(drill, name, runner);
  const flags = [
    hot.without + hot.cost > full ? `${name}: hot it needs ${sayAir(hot.without + hot.cost, unit)} and the valve ends at ${sayAir(full, unit)}` : null,
    inCold.short === null ? null : `${name}: ${inCold.short}`,
    went?.flag ?? null,
  ].filter((flag) => flag !== null);
  return {
    ...row,
    why:
      `${name}: settled command with it ${sayAir(hot.without + hot.cost, unit)}, without ${sayAir(hot.without, unit)}, hot at ${say(hot.rpm, 4)} rpm` +
      (speedUpRpm > 0 ? ` (${say(speedUpRpm)} of them its speed-up)` : '') + `; ${inCold.text}` +
      (went?.text ?? ''),
    brief: `settled with − without; cold ${sayAir(cold.cost, unit)}`,
    provenBy: drill === null ? `${name} on and off` : `${drill.drill.name}; the same at ${say(COLD_C)} °C`,
    flag: flags.length === 0 ? null : flags.join('; '),
  };
}
