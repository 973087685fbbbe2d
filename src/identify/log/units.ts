/** Units as logs write them, what they measure, and their conversion by the unit library. */
import { createUnitReader, isUnitProblem } from '../../units/index.js';

export type Dimension = 'turning' | 'pressure' | 'flow' | 'angle' | 'temperature' | 'road' | 'part' | 'steps' | 'voltage' | 'time' | 'switch' | 'electric';

interface LogUnit {
  readonly of: Dimension;
  /** In the unit library's words, times `times`. */
  readonly unit: string;
  readonly times?: number;
}

const list = (of: Dimension, unit: string, names: string, times?: number): [string, LogUnit][] =>
  names.split(' ').map((name) => [name, times === undefined ? { of, unit } : { of, unit, times }]);

/** By name: lower case, without blanks. One turn a second is 60 rpm: a turn is an angle to the library, and Hz is none. */
const UNITS = new Map<string, LogUnit>([
  ...list('turning', 'rpm', 'rpm 1/min /min min-1 min^-1 u/min tr/min r/min rev/min upm t/min rev/m revs/min giri/min revolutionsperminute revolutionperminute'),
  ...list('turning', 'rpm', 'krpm rpm*1000 rpmx1000 x1000rpm 1000rpm', 1000),
  ...list('turning', 'rpm', 'hz 1/s rev/s rps r/s u/s tr/s', 60),
  ...list('turning', 'rad/s', 'rad/s rad/sec 1/srad'),
  ...list('pressure', 'kPa', 'kpa kilopascal kilopascals kpaabs kpa(abs) kpaa'),
  ...list('pressure', 'Pa', 'pa'),
  ...list('pressure', 'bar', 'bar barabs bara'),
  ...list('pressure', 'mbar', 'mbar hpa mbarabs'),
  ...list('pressure', 'psi', 'psi psia psiabs lbf/in2 lb/in2'),
  ...list('pressure', 'mmHg', 'mmhg torr'),
  ...list('pressure', 'kPa', 'atm', 101.325),
  ...list('pressure', 'kPa', 'kgf/cm2 kg/cm2 kp/cm2', 98.0665),
  ...list('pressure', 'MPa', 'mpa'),
  ...list('pressure', 'mmHg', 'inhg "hg inhgabs in.hg inhga', 25.4),
  ...list('flow', 'g/s', 'g/s gps g/sec gm/s gram/s grampersecond gramspersecond'),
  ...list('flow', 'kg/hour', 'kg/h kg/hr kg/hour'),
  ...list('flow', 'lb/minute', 'lb/min lbs/min lb/m'),
  ...list('angle', 'deg', 'deg ° \ufffd degree degrees grad °btdc degbtdc btdc °bdc °ca °kw degca °crank deg.btdc °vot °pms'),
  ...list('temperature', 'degC', '°c degc c celsius degreesc degc. degreecelsius degreescelsius gradc \ufffdc'),
  ...list('temperature', 'degF', '°f degf f fahrenheit degreesf degreefahrenheit \ufffdf'),
  ...list('temperature', 'K', 'k kelvin'),
  ...list('road', 'km/hour', 'km/h kmh kph km/hr kmph kilometerperhour kilometersperhour kilometresperhour'),
  ...list('road', 'mile/hour', 'mph mi/h miles/h milesperhour'),
  ...list('road', 'm/s', 'm/s'),
  ...list('part', '%', '% pct percent prozent duty% %duty'),
  ...list('part', '%', 'fraction ratio 0-1', 100),
  ...list('steps', 'step', 'step steps schritte pas pasos passos'),
  ...list('voltage', 'V', 'v volt volts vdc'),
  ...list('voltage', 'mV', 'mv'),
  ...list('time', 's', 's sec secs second seconds sek sekunden secondes segundos segundo'),
  ...list('time', 'ms', 'ms msec millis milliseconds milliseconden'),
  ...list('time', 'us', 'us µs μs usec microseconds'),
  ...list('time', 'minute', 'minutes minuten minutos'),
  ...list('time', 'hour', 'h hours'),
  ...list('switch', '1', 'on/off bool boolean 0/1 flag'),
  ...list('electric', 'A', 'a amp amps w watt watts kw nm n·m'),
]);

/** ℃ and º as °, ² as 2, and the like. */
const plainly = (text: string): string => text.replace(/º/g, '°').normalize('NFKC').toLowerCase().replace(/[\s_^]/g, '');

/** Looks a unit up; null for one that is not known. */
export const unitOf = (text: string): LogUnit | null => UNITS.get(plainly(text)) ?? UNITS.get(text.toLowerCase().replace(/[\s_]/g, '')) ?? null;

/** A unit of pressure that is counted from the open air: `psig`, `bar(g)`, `inHg vac`; the unit itself, and which way it counts. */
export function fromOpenAir(text: string): { readonly unit: string; readonly down: boolean } | null {
  const match = /^(.+?)[\s_]*\(?(g|gauge|rel|relative|vac|vacuum)\)?$/i.exec(text.trim());
  const unit = match?.[1] ?? '';
  if (match === null || UNITS.has(plainly(text)) || unitOf(unit)?.of !== 'pressure') return null;
  return { unit, down: /^vac/i.test(match[2] as string) };
}

/** value → slope × value + offset. */
export interface Conversion {
  readonly slope: number;
  readonly offset: number;
}

export type Converter = (from: string, to: string) => Conversion | null;

/** Loads the unit library and gives conversions between units of logs; null where they do not convert or are not known. */
export async function createConverter(): Promise<Converter> {
  const read = await createUnitReader();
  return function convert(from, to) {
    const [given, wanted] = [unitOf(from), unitOf(to)];
    if (given === null || wanted === null || given.of !== wanted.of) return null;
    const factor = (given.times ?? 1) / (wanted.times ?? 1);
    if (given.unit === wanted.unit) return { slope: factor, offset: 0 };
    const [zero, hundred] = [read(`0 ${given.unit}`, wanted.unit), read(`100 ${given.unit}`, wanted.unit)];
    if (isUnitProblem(zero) || isUnitProblem(hundred)) return null;
    return { slope: ((hundred - zero) / 100) * factor, offset: zero };
  };
}
