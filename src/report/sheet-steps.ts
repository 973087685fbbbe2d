/** What to do on the engine, step by step: do, watch, and what to do where it differs. Common practice, no source. */
import { interpolate } from '../numerics/curve.js';
import { createBench } from '../setup/bench.js';
import type { DrillPair, SetupResult } from '../setup/result.js';
import type { SheetTable } from './sheet.js';
import { sheetNumber as number } from './sheet-number.js';

export interface StepTexts {
  /** Unit of the air, as text. */
  readonly air: string;
  temperature(celsius: number): string;
  readonly hotC: number;
}

/** The drill of this kind with the lowest speed. */
const deepest = (drills: readonly DrillPair[], pattern: RegExp): DrillPair | null =>
  drills
    .filter(({ name }) => pattern.test(name))
    .reduce<DrillPair | null>((a, b) => (a === null || (b.after.scored.metrics.lowestRpm ?? 0) < (a.after.scored.metrics.lowestRpm ?? 0) ? b : a), null);

const lowest = (drill: DrillPair | null): string => {
  const rpm = drill?.after.scored.metrics.lowestRpm ?? null;
  return rpm === null ? '' : `; simulated: not below ${rpm.toFixed(0)} rpm`;
};

export function sheetSteps({ scenario, drills }: SetupResult, { air, temperature, hotC }: StepTexts): SheetTable {
  const { controller } = scenario;
  const bench = createBench(scenario);
  const rpm = interpolate(controller.targetRpm, hotC);
  const base = interpolate(controller.base, hotC);
  const worth = bench.rpmPerAir(hotC, rpm);
  const one = air === '%' ? '1 %' : 'One step';
  const steps: (readonly [string, string, string])[] = [
    [
      'Read the cautions. Engine off: throttle on its stop, no leaks, base spark checked with a lamp, coolant and speed read right. Type everything in.',
      `Throttle reads shut (below ${number(controller.entry.throttleShutPct)} %); the valve moves through its range.`,
      'Mend that first: no table makes up for a leak or a wrong reading.',
    ],
    [
      `Hot (${temperature(hotC)}), everything off: hold the air at ${number(base)} ${air}, loop open, spark trim off.`,
      `${number(rpm)} rpm, steady. ${one} is worth ${number(worth, 2)} rpm.`,
      `Move the whole base by the difference over ${number(worth, 2)}. Off by more than a third: a leak, the stop, or the engine is not the one in the file.`,
    ],
    [
      'Close the loop. Idle for a minute.',
      'Within 25 rpm of target, the valve nearly still.',
      'Slow swing (below 1 Hz): halve ki. Fast shake: halve kp, then kd. Creeps to target: ki up by half.',
    ],
    [
      controller.loads.length === 0 ? 'Switch the largest load on and off.' : 'Switch each load on and off, one at a time, the loop closed; read what the command settles at.',
      `Sags, comes back${lowest(deepest(drills, /load|pulse/))}.`,
      'Sags when it comes and flares when it leaves: more load air. The other way round: less. Dips first, then flares: more lead; flares first: less.',
    ],
    [
      'Neutral: rev to 3000 rpm, let go. Several times.',
      `Comes back without a stall${lowest(deepest(drills, /free-rev/))}.`,
      'Stalls or dives: smaller window, then dashpot air up by one notch. Hangs: dashpot down; base too high.',
    ],
  ];
  if (scenario.engine.model === 'mean-value' && scenario.engine.driveline.gears.length > 0) {
    steps.push([
      'On a free road: coast in top gear, throttle shut, clutch in.',
      `The engine catches itself${lowest(deepest(drills, /overrun|coast|clutch/))}.`,
      'Dives: moving-car air up by one notch. The car pushes on the overrun: down.',
    ]);
  }
  steps.push(
    [
      'Let it stand overnight. Start, foot off.',
      'Catches at once, flares once, does not sag below target afterwards.',
      'Cranks long: cranking air up a tenth. Flares high: down. Sags after the flare: air after start up; hangs: shorter.',
    ],
    [
      'Let it warm up, everything off; at each coolant of the table read the settled command.',
      'The base of the table, within a tenth.',
      'Put what was read into that point. All points off alike: go back to step 2.',
    ],
    [
      'Every load together, cold and hot.',
      `The command stays below ${number(controller.clamp.highest)} ${air}.`,
      'At the limit: the valve is too small, or the target too high for the cold.',
    ],
  );
  return { kind: 'table', heads: ['', 'do', 'watch', 'if it differs'], text: [1, 2, 3], whole: [], rows: steps.map((step, i) => [String(i + 1), ...step]) };
}
