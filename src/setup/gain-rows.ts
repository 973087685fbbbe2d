/** Rows of the gains, and the dead band that whole steps want. */
import type { ControllerSettings } from '../controller/parameters.js';
import { say } from './apply.js';
import { type Found, MOST_TRAVEL_PCT_PER_S } from './gains.js';
import type { DrillPair, SetupRow } from './result.js';

/** Dead band of an integral on whole steps, rpm. */
export const deadBandFor = (rpmPerStep: number, resolutionRpm: number): number => Math.ceil((0.5 * rpmPerStep + resolutionRpm + 2) / 5) * 5;

/** What the rough engine says of the gains, in a sentence; nothing where it was not run. */
function roughText({ shaken }: Found, rough: DrillPair | null): string {
  const travel = rough?.after.scored.metrics.valveTravelPctPerS ?? null;
  if (travel === null) return '';
  return `; on a rough engine the valve moves ${say(travel, 2)} % of its range each second (${MOST_TRAVEL_PCT_PER_S} % at most)` +
    (shaken === 0 ? '' : `, which put out ${shaken} set${shaken === 1 ? '' : 's'} of gains that did better on a smooth one`);
}

/** @param rough the drill of a rough engine as it went at last; null without one */
export function gainRows(found: Found, { pid }: ControllerSettings, unit: '%' | 'step', rpmPerAir: number, rough: DrillPair | null): readonly SetupRow[] {
  const stepper = unit === 'step';
  const searched = `best of ${found.cells} sets on the hardest drills; the worst left is ${found.worst}`;
  const only = 'a stepper is set on its integral with a dead band, by custom; tickover tune --terms pid tries the others';
  const provenBy = [found.worst, ...(rough === null ? [] : [rough.name])].join('; ');
  const gain = (key: 'kp' | 'ki' | 'kd', gainUnit: string, why: string, brief: string): SetupRow => ({
    key: `controller.pid.${key}`, text: say(pid[key]), unit: gainUnit, why, brief, provenBy,
    flag: key === 'ki' && found.stalls ? `every set of gains tried stalls the engine in a drill (${found.worst}) or shakes the valve of a rough one` : null, tried: null,
  });
  const ofSets = `best of ${found.cells} sets`;
  return [
    gain('kp', `${unit}/rpm`, stepper ? only : searched, stepper ? 'none on whole steps' : ofSets),
    gain('ki', `${unit}/(rpm·s)`, stepper ? `${searched}; one step is worth ${say(rpmPerAir, 2)} rpm` : searched, ofSets),
    gain('kd', `${unit}·s/rpm`, stepper ? only : `${searched}${roughText(found, rough)}`, stepper ? 'none on whole steps' : `${ofSets}; holds a rough engine`),
    {
      key: 'controller.pid.deadBand', text: say(pid.deadBandRpm), unit: 'rpm', provenBy: 'steady idle, hot', flag: null, tried: null,
      why: stepper
        ? `half of what one step is worth (${say(rpmPerAir, 2)} rpm) and the rounding of the sensed speed: an integral on whole steps hunts without`
        : 'none: the solenoid has no steps to hunt between',
      brief: stepper ? 'half a step’s worth, and rounding' : 'no steps to hunt between',
    },
  ];
}
