/**
 * What a run is allowed to do (limits) and what it is charged for (scoring), in the reader's units.
 *
 * A limit's resolved name is the name of the metric it bounds, so that the two are matched by name alone.
 */
import { group, own, type Values } from '../parameter/table.js';

const OWN_SCALE = "tickover's own scale, assumed";

const limit = { default: null, min: 0 } as const;

/** Limits that a scenario may state; none is set unless given. All are upper limits but `stallMargin`. */
export const limitsTable = {
  sag: own({ ...limit, as: 'sagRpm', unit: 'rpm', max: 5000, meaning: 'deepest drop allowed below the lower of target and starting speed; not limited when not given' }),
  flare: own({ ...limit, as: 'flareRpm', unit: 'rpm', max: 10000, meaning: 'highest rise allowed above the higher of target and starting speed; not limited when not given' }),
  settling: own({ ...limit, as: 'settlingTimeS', unit: 's', max: 7200, meaning: 'longest settling time allowed; not limited when not given' }),
  overshoot: own({ ...limit, as: 'overshootPct', unit: '%', max: 1000, meaning: 'largest overshoot allowed after a target step, of the step; not limited when not given' }),
  stallMargin: own({ as: 'stallMarginRpm', unit: 'rpm', default: null, min: -1000, max: 5000, meaning: 'smallest margin allowed between the lowest speed and the stall speed; not limited when not given' }),
  iae: own({ ...limit, as: 'iaeRpmS', unit: 'rpm s', max: 1e7, meaning: 'largest integral of absolute speed error allowed; not limited when not given' }),
  hunting: own({ ...limit, as: 'huntingRpm', unit: 'rpm', max: 5000, meaning: 'largest hunting allowed, peak to peak; not limited when not given' }),
  valveTravel: own({ ...limit, as: 'valveTravelPctPerS', unit: '%/s', max: 10000, meaning: 'most valve travel allowed in steady running, of its range; not limited when not given' }),
  sparkActivity: own({ ...limit, as: 'sparkActivityDeg', unit: 'deg', max: 90, meaning: 'most spark activity allowed in steady running, root mean square about its mean; not limited when not given' }),
  saturated: own({ ...limit, as: 'saturatedS', unit: 's', max: 7200, meaning: 'longest time allowed with the air command at a limit of its clamp, in one event; not limited when not given' }),
} as const;
export type Limits = Values<typeof limitsTable>;

const scale = { min: 1e-6, max: 1e6, source: OWN_SCALE } as const;

/** Size of each metric that costs 1. */
const scales = {
  sag: own({ ...scale, as: 'sagRpm', unit: 'rpm', default: 80, meaning: 'sag that costs 1' }),
  flare: own({ ...scale, as: 'flareRpm', unit: 'rpm', default: 120, meaning: 'flare that costs 1' }),
  settling: own({ ...scale, as: 'settlingTimeS', unit: 's', default: 3, meaning: 'settling time that costs 1' }),
  iae: own({ ...scale, as: 'iaeRpmS', unit: 'rpm s', default: 100, meaning: 'integral of absolute speed error that costs 1' }),
  hunting: own({ ...scale, as: 'huntingRpm', unit: 'rpm', default: 25, meaning: 'hunting, peak to peak, that costs 1' }),
  sparkActivity: own({ ...scale, as: 'sparkActivityDeg', unit: 'deg', default: 3, meaning: 'spark activity in steady running that costs 1' }),
  valveTravel: own({ ...scale, as: 'valveTravelPctPerS', unit: '%/s', default: 1, meaning: 'valve travel in steady running that costs 1, of its range' }),
} as const;

const weight = { unit: '1', default: 1, min: 0, max: 1000, source: OWN_SCALE } as const;

/** Weight of each term's square in the mean; 0 leaves it out. */
const weights = {
  sag: own({ ...weight, as: 'sagRpm', meaning: 'weight of sag' }),
  flare: own({ ...weight, as: 'flareRpm', meaning: 'weight of flare' }),
  settling: own({ ...weight, as: 'settlingTimeS', meaning: 'weight of settling time' }),
  iae: own({ ...weight, as: 'iaeRpmS', meaning: 'weight of the integral of absolute speed error' }),
  hunting: own({ ...weight, as: 'huntingRpm', meaning: 'weight of hunting' }),
  sparkActivity: own({ ...weight, as: 'sparkActivityDeg', meaning: 'weight of spark activity in steady running' }),
  valveTravel: own({ ...weight, as: 'valveTravelPctPerS', meaning: 'weight of valve travel in steady running' }),
} as const;

export const scoringTable = {
  settlingBand: own({ as: 'settlingBandRpm', unit: 'rpm', default: 25, min: 0.1, max: 1000, meaning: 'half-width of the band around the target that counts as settled', source: OWN_SCALE }),
  settlingHold: own({ as: 'settlingHoldS', unit: 's', default: 1, min: 0, max: 60, meaning: 'how long the speed must have stayed in the band to count as settled', source: OWN_SCALE }),
  leastHunting: own({ as: 'leastHuntingRpm', unit: 'rpm', default: 2, min: 0, max: 1000, meaning: 'oscillation, peak to peak, below which nobody calls it hunting', source: 'assumed: twice the rounding of the sensed speed' }),
  scales: group({ rows: scales, meaning: 'size of each metric that costs 1' }),
  weights: group({ rows: weights, meaning: 'weight of each term in the mean of squares' }),
  limitBroken: own({ unit: '1', default: 10, min: 0, max: 1e6, meaning: 'added for each limit that is broken', source: OWN_SCALE }),
  stall: own({ unit: '1', default: 100, min: 0, max: 1e6, meaning: 'added when the engine stalls', source: OWN_SCALE }),
  stalledSettling: own({
    as: 'stalledSettlingS',
    unit: 's',
    default: 30,
    min: 0,
    max: 7200,
    meaning: 'settling time that a stall is charged as, less the time survived since the event',
    source: "assumed: longer than any event's window, so that among runs that stall the later stall costs less",
  }),
} as const;
export type Scoring = Values<typeof scoringTable>;

/** Metrics that enter the score. */
export type ScoredMetric = keyof Scoring['scales'];
