/** What the margins of an idle mean for someone who knows engines. */
import type { Complex } from '../linear/complex.js';
import type { IdleMargins, LinearIdle } from '../linear/idle.js';
import { type LimitCycleAnswer, NO_AIR_LOOP, NO_PLAY, NO_STEPS } from '../linear/limit-cycle.js';
import type { Margins } from '../linear/margins.js';
import { modeOf } from '../linear/zeros.js';
import type { ControllerSettings } from '../controller/parameters.js';
import { threeDigits } from './margins.js';
import { formatNumber } from './numbers.js';

const RPM = 30 / Math.PI;
const ZERO_C = 273.15;
const DEG = 180 / Math.PI;
/** Largest sensitivity that counts as robust at the nominal engine, and with the engine other than it is described. */
export const MS_NOMINAL = 1.6;
export const MS_CORNER = 2;

const two = (value: number): string => formatNumber(Number(value.toPrecision(2)));
const hertz = (omega: number): string => `${two(omega / (2 * Math.PI))} Hz`;
const time = (seconds: number): string => (seconds < 1 ? `${formatNumber(Math.round(1e3 * seconds))} ms` : `${threeDigits(seconds)} s`);
const list = (names: readonly string[]): string => (names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`);

/** Where it idles. @param unit of the air command */
export function restLine({ equilibrium: at, balance }: LinearIdle, unit: string): string {
  const torque = balance.indicated > 0 ? `; the charge gives ${formatNumber(balance.indicated, 'N·m')} N·m, of which pumping takes ${formatNumber(balance.pumping, 'N·m')} and friction ${formatNumber(balance.friction, 'N·m')}${balance.load > 0 ? `, the alternator ${formatNumber(balance.load, 'N·m')}` : ''}` : '';
  return `Idle in neutral: ${formatNumber(at.omega * RPM, 'rpm')} rpm, coolant ${formatNumber(Math.round(10 * (at.inputs.coolant - ZERO_C)) / 10)} °C, manifold ${formatNumber(at.pressure / 1e3, 'kPa')} kPa, air command ${threeDigits(at.command)} ${unit === 'step' ? 'steps' : unit}, spark ${formatNumber(at.spark * DEG, '°BTDC')}°${torque}.`;
}

/** A mode in words. */
function mode(pole: Complex): string {
  const { frequency, damping } = modeOf(pole);
  if (pole.im === 0) return pole.re < 0 ? `comes back with a time constant of ${time(-1 / pole.re)}` : `runs away with a time constant of ${time(1 / pole.re)}`;
  const swings = damping <= 0 ? 'growing' : damping < 0.2 ? 'ringing long' : damping < 0.5 ? 'a few swings' : 'hardly a swing';
  return `swings at ${hertz(pole.im)} (natural frequency ${threeDigits(frequency)} rad/s, damping ${two(damping)}: ${swings})`;
}

/** The slowest return, and the least damped swing among the modes that matter. */
function dominant(poles: readonly Complex[]): string {
  const swings = poles.filter((pole) => pole.im > 0);
  const least = swings.reduce<Complex | null>((best, pole) => (best === null || modeOf(pole).damping < modeOf(best).damping ? pole : best), null);
  const [slowest] = poles;
  const told = [slowest, least].filter((pole, i, all): pole is Complex => pole != null && all.indexOf(pole) === i);
  return told.length === 0 ? 'no slow mode was found' : told.map(mode).join(', and ');
}

export const polesLines = (poles: { readonly engine: readonly Complex[]; readonly closed: readonly Complex[] }, acts: boolean): readonly string[] => [
  `The engine alone, air and spark held: ${dominant(poles.engine)}.`,
  ...(acts ? [`With the controller: ${dominant(poles.closed)}.`] : []),
];

/** The gains of the air loop that are not zero. */
const airGains = ({ pid }: ControllerSettings): string => list([...(pid.kp > 0 ? ['kp'] : []), ...(pid.ki > 0 ? ['ki'] : []), ...(pid.kd > 0 ? ['kd'] : [])]);

function room(what: string, plural: boolean, margins: Margins): string {
  const gain = margins.gainMargin === null ? `however far ${what} ${plural ? 'are' : 'is'} raised` : `until ${what} ${plural ? 'are' : 'is'} ${threeDigits(margins.gainMargin)} times as large (then it hunts at ${hertz(margins.gainMarginAt as number)})`;
  const delay = margins.delayMarginS === null ? '' : `, or until there is ${time(margins.delayMarginS)} more delay in it`;
  const down = margins.gainReduction === null ? '' : ` It also needs them: at ${two(margins.gainReduction)} times as much it hunts as well.`;
  return `stays stable ${gain}${delay}.${down}`;
}

/** Sentences, the verdict first. */
export function marginsWords(found: IdleMargins, settings: ControllerSettings): readonly string[] {
  const { loops, stable, worstMs, ms } = found;
  if (loops.air === null && loops.spark === null) {
    const why = settings.hold !== null ? 'the air command is held' : 'all gains are zero';
    return [`No loop: ${why}. ${found.engineUnstablePoles === 0 ? 'The engine holds itself.' : 'The engine does not hold itself: left alone it swings until it stalls or races.'}`];
  }
  if (stable !== true) return [`Hunts: with these gains the idle is ${stable === null ? 'on the edge of stability' : 'unstable'}.`];
  const air = loops.airBreak ?? loops.air;
  const spark = loops.sparkBreak ?? loops.spark;
  const gains = airGains(settings);
  return [
    ...(air === null ? [] : [`The air loop ${room(gains, gains.includes(' and '), air)}`]),
    ...(spark === null ? [] : [`The spark trim ${room('the rate', false, spark)}`]),
    ...(worstMs === null ? [] : [sensitivity(worstMs, ms ?? worstMs)]),
  ];
}

function sensitivity(worst: number, atSpeed: number): string {
  const verdict = worst <= MS_NOMINAL ? `within the ${MS_NOMINAL} that leaves room for an engine other than described` : worst <= MS_CORNER ? `more than ${MS_NOMINAL}: stable, but little room for an engine other than described` : `more than ${MS_CORNER}: it will ring, and a little difference in the engine makes it hunt`;
  const where = worst > atSpeed * 1.001 ? ` at its worst break (${threeDigits(atSpeed)} at the speed)` : '';
  return `Ms is ${threeDigits(worst)}${where}, ${verdict}. At some frequency the loop makes a disturbance ${threeDigits(atSpeed)} times as large as without it.`;
}

/** What steps and play of the valve add. @param unit of the air command */
export function cycleLines(steps: LimitCycleAnswer, play: LimitCycleAnswer, unit: string): readonly string[] {
  const told = (what: string, { cycle, because }: LimitCycleAnswer, most: string): string => {
    if (cycle === null) return `${what}: no limit cycle; ${because}.`;
    const start = cycle.thresholdRpm === null ? '' : ` once something knocks it by more than ±${two(cycle.thresholdRpm)} rpm`;
    return `${what}: a limit cycle of about ±${two(cycle.speedRpm)} rpm at ${two(cycle.hz)} Hz, ±${two(cycle.command)} ${unit} of the command${start} (by describing function${most}).`;
  };
  const silent = ({ because }: LimitCycleAnswer): boolean => because !== null && SILENT.includes(because);
  return [
    ...(silent(steps) ? [] : [told('Whole steps', steps, '; most where the level lies midway between two steps')]),
    ...(silent(play) ? [] : [told('Play of the valve', play, '')]),
  ];
}

/** Reasons that go without saying. */
const SILENT: readonly string[] = [NO_STEPS, NO_PLAY, NO_AIR_LOOP];
