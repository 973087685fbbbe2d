/** A symptom with its evidence, and what the causes are: one table, from which page, JSON and help are made. */

export interface CauseText {
  /** What is wrong, in a few words. */
  readonly title: string;
  /** Our key of the likely setting, and which way to move it. */
  readonly setting: string;
  readonly direction: string;
  /** The same in plain words. */
  readonly advice: string;
  /** What would tell it from its likeliest rival. */
  readonly apart: string;
}

export const CAUSES = {
  'air-integral-hunting': {
    title: 'slow hunting: the integral of the air loop', setting: 'controller.pid.ki', direction: 'lower',
    advice: 'Air and speed swing together, the air a quarter turn behind the speed error, as an integral does. Halve the integral gain, or raise the proportional gain beside it.',
    apart: 'Hold the air command fixed: if the swing stops, the air loop makes it; if it goes on, the engine does (mixture, misfire).',
  },
  'air-proportional-hunting': {
    title: 'hunting: the proportional part of the air loop', setting: 'controller.pid.kp', direction: 'lower',
    advice: 'Air and speed swing against each other with hardly any lag between error and command. Lower the proportional gain by a third.',
    apart: 'Halve kp alone: the swing goes. Were it the integral, it would get slower and larger.',
  },
  'air-derivative-hunting': {
    title: 'fast hunting: the derivative part of the air loop', setting: 'controller.pid.kd', direction: 'lower',
    advice: 'The air runs ahead of the speed error. Halve the derivative gain, or filter it more.',
    apart: 'Set kd to nothing for a moment: the swing goes at once.',
  },
  'spark-hunting': {
    title: 'fast hunting: the spark loop', setting: 'controller.spark.rate', direction: 'lower',
    advice: 'Spark and speed swing against each other, faster than air can. Lower the spark rate by a third.',
    apart: 'Hold the spark fixed: if the swing stops, the spark loop makes it.',
  },
  'engine-hunting': {
    title: 'an oscillation that no command takes part in', setting: 'none of the loop', direction: 'look at the engine',
    advice: 'The speed swings and neither air nor spark swings with it: mixture, misfire, or a load that cycles.',
    apart: 'Look at mixture and at loads that switch in the same rhythm.',
  },
  'stepper-limit-cycle': {
    title: 'limit cycle of the stepper', setting: 'controller.pid.deadBand', direction: 'higher',
    advice: 'The command goes to and fro by a step or a few, and the speed with it: no whole step is right. Give the integral a dead band of about half of what one step moves the speed.',
    apart: 'Hold the command at one step: the speed rests off target by less than a step is worth. A loop that is too quick moves many steps.',
  },
  'load-air-small': {
    title: 'load air too small', setting: 'controller.loads[].air', direction: 'higher',
    advice: 'The speed sags as the load comes and flares as it goes; what is added at once is less than what the loop holds later.',
    apart: 'Wait until the speed has settled under the load and compare the command with that before it: the difference is the air that the load wants.',
  },
  'load-air-large': {
    title: 'load air too large', setting: 'controller.loads[].air', direction: 'lower',
    advice: 'The speed flares as the load comes and sags as it goes; what is added at once is more than what the loop holds later.',
    apart: 'A lead that is too long flares as well, but leaves no sag as the load goes.',
  },
  'load-lead-short': {
    title: 'lead of a load missing or too short', setting: 'controller.loads[].lead', direction: 'higher',
    advice: 'The air of the load is right once settled, but comes too late: the speed sags first. Let the air go ahead of the load.',
    apart: 'Load air that is too small sags as well, and flares as the load goes.',
  },
  'load-lead-long': {
    title: 'lead of a load too long', setting: 'controller.loads[].lead', direction: 'lower',
    advice: 'The air of the load is right once settled, but the speed flares before the load takes hold.',
    apart: 'Load air that is too large flares as well, and sags as the load goes.',
  },
  'loop-sluggish': {
    title: 'air loop too slow', setting: 'controller.pid.ki', direction: 'higher',
    advice: 'After a load the command creeps, and the speed stays off target for long. Raise the integral gain, and the proportional with it.',
    apart: 'A dead band that is too wide leaves a lasting error under a command that stands still.',
  },
  'dead-band-wide': {
    title: 'dead band too wide', setting: 'controller.pid.deadBand', direction: 'lower',
    advice: 'The speed rests off target and the command stands still, though it moves for larger errors.',
    apart: 'A loop that is open does not move for larger errors either.',
  },
  'return-wind-down': {
    title: 'the loop closes too early on a return and winds the air down', setting: 'controller.entry.window', direction: 'lower',
    advice: 'While the speed is still coming down the command falls below what holds the idle; there is too little air when the speed arrives. Lower the entry window, and give forced entry more time (controller.entry.forcedAfter).',
    apart: 'Without a loop at all (fixed command) the return does not sag.',
  },
  'return-air-small': {
    title: 'too little air on a return', setting: 'controller.openAir.dashpot', direction: 'higher',
    advice: 'The speed falls through target though the loop has not wound the air down. Add air as the throttle shuts, and let it decay.',
    apart: 'A loop that closes too early has the command fall before the speed arrives.',
  },
  'return-hang': {
    title: 'too much air on a return, or for too long', setting: 'controller.openAir.dashpotTime', direction: 'lower',
    advice: 'The speed hangs above target while the command comes down by itself. Less air as the throttle shuts, or a shorter decay.',
    apart: 'If the command stands still meanwhile, the loop is open: look at the entry window.',
  },
  'entry-never': {
    title: 'the loop does not close', setting: 'controller.entry', direction: 'let it close: wider window, forced entry, and the switches it waits for',
    advice: 'The speed stays off target and the command does not answer. Look which condition is missing: throttle reading above shut (throttleShut), clutch or neutral switch (driven), entry window, or a command that is held (hold).',
    apart: 'If the command moves for larger errors it is a dead band; if it rests at its highest or lowest value, a clamp.',
  },
  'entry-driving': {
    title: 'the loop closes while the car drives the engine', setting: 'controller.entry.driven', direction: 'know the clutch: clutch-or-neutral',
    advice: 'In gear, throttle shut, the command winds down against a speed that the wheels hold up; when the clutch goes in, the air is gone.',
    apart: 'Repeat the overrun with the loop held open: the sag after the clutch should go.',
  },
  'clamp-high': {
    title: 'the command ends at its upper limit', setting: 'controller.clamp.highest', direction: 'higher',
    advice: 'The speed is below target and the command rests at its highest value. Raise the limit; if it is the valve’s own, the valve is too small or clogged.',
    apart: 'If the speed does not rise with a higher limit, the valve passes no more.',
  },
  'clamp-low': {
    title: 'the command ends at its lower limit', setting: 'controller.clamp.lowest', direction: 'lower',
    advice: 'The speed is above target and the command rests at its lowest value. Lower the limit; if it is at nothing already, air leaks in: throttle stop, hoses, purge.',
    apart: 'Shut the valve by hand: if the speed does not fall below target, air leaks past it.',
  },
  'base-hot-small': { ...base('hot', 'too small'), direction: 'higher' },
  'base-hot-large': { ...base('hot', 'too large'), direction: 'lower' },
  'base-cold-small': { ...base('cold', 'too small'), direction: 'higher' },
  'base-cold-large': { ...base('cold', 'too large'), direction: 'lower' },
  'after-start-large': {
    title: 'flare after start: too much air after start', setting: 'controller.start.after', direction: 'lower',
    advice: 'The speed flares after the catch, and the loop gives back later what it took away. Less air after start, or a shorter time.',
    apart: 'A base that is too large leaves the command lower for good; this one comes back up.',
  },
  'after-start-small': {
    title: 'sag after start: air after start fades too soon', setting: 'controller.start.duration', direction: 'higher',
    advice: 'The speed comes up and sags as the air after start goes. More of it, or for longer.',
    apart: 'A base that is too small sags at the next start too, whatever the air after start.',
  },
  'cranking-air-small': {
    title: 'long cranking', setting: 'controller.start.cranking', direction: 'higher',
    advice: 'The starter turns long before the engine catches. More air while cranking, if fuel and spark are right.',
    apart: 'Open the throttle a little while cranking: if it catches at once, it was air.',
  },
  'speed-sensor': {
    title: 'speed signal drops out', setting: 'none of the loop', direction: 'look at sensor, wheel and wiring',
    advice: 'The speed jumps further between readings than a crankshaft can.',
    apart: 'If manifold pressure and sound do not follow, the signal lies.',
  },
  'coolant-sensor': {
    title: 'coolant reading jumps', setting: 'none of the loop', direction: 'look at sensor and wiring',
    advice: 'The coolant reads several degrees more or less from one reading to the next; target and base follow it.',
    apart: 'Compare with a thermometer; water does not change so fast.',
  },
  'map-sensor': {
    title: 'manifold pressure reading sticks or jumps', setting: 'none of the loop', direction: 'look at sensor, hose and wiring',
    advice: 'The pressure does not do what air and speed ask of it.',
    apart: 'With the engine stopped it must read the barometer.',
  },
} as const satisfies Readonly<Record<string, CauseText>>;

export type Cause = keyof typeof CAUSES;

function base(when: 'hot' | 'cold', what: 'too small' | 'too large'): Omit<CauseText, 'direction'> {
  const [less, side] = what === 'too small' ? ['sags', 'higher'] : ['flares', 'lower'];
  return {
    title: `base table ${what} ${when}`, setting: `controller.base (${when === 'hot' ? 'the hot' : 'the cold'} end)`,
    advice: `After the start the speed ${less} until the integral has made up for it, and the command stays ${side} than it began: the integral carries what the base lacks.`,
    apart: 'Air after start that is wrong gives back what it took; here the command stays where the integral has brought it.',
  };
}

export interface Finding {
  readonly cause: Cause;
  /** Load, where it is one's. */
  readonly load: string | null;
  /** Where it shows, s. */
  readonly fromS: number;
  readonly toS: number;
  /** What was seen, in sentences with numbers. */
  readonly evidence: readonly string[];
  /** How far beyond its limit the worst of it is: 1 at the limit. */
  readonly size: number;
  /** 0 … 1: how sure the cause is, given the symptom. */
  readonly confidence: number;
  /** Causes that could look the same, likeliest first. */
  readonly rivals: readonly Cause[];
}

export const rpm = (value: number): string => `${Math.round(value)} rpm`;
export const atS = (value: number): string => `${value.toFixed(1)} s`;
export const unitOf = (unit: string): string => (unit === 'step' ? ' steps' : unit === '%' ? ' %' : '');
/** An air command as it is told. */
export const airText = (value: number, unit: string): string => `${value.toFixed(unit === 'step' ? 0 : 1).replace(/^-(?=[0.]*$)/, '').replace('-', '−')}${unitOf(unit)}`;
