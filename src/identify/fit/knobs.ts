/**
 * What a fit turns: parameters of the engine and its valve, torques of the loads, and two of the recording itself.
 *
 * A scale is fitted as the logarithm of what it multiplies (positive by nature, and a start 40 % off is as far either way);
 * a shift is added. The value that the file gives is the prior, with a spread so wide that it only speaks where the log is silent.
 */
import type { EngineSettings } from '../../plant/engine.js';
import type { RestrictionSettings } from '../../plant/restriction.js';
import type { ValveSettings } from '../../plant/valves/index.js';

/** An engine as a fit holds it: settings in stored units, and the torque of each load beside what the machine of its name says. */
export interface Fitted {
  readonly engine: EngineSettings;
  readonly valve: ValveSettings;
  readonly loads: readonly FittedLoad[];
}

export interface FittedLoad {
  readonly name: string;
  /** At the crank: N·m; N·m·s²/rad²; W. */
  readonly torque: number;
  readonly square: number;
  readonly power: number;
  /** Time to take hold or let go, s. */
  readonly engage: number;
}

export interface Knob {
  /** For a reader. */
  readonly name: string;
  /** Key in a scenario file, or `load:fan`. */
  readonly key: string;
  /** Documented unit, and how a stored value is shown in it. */
  readonly unit: string;
  readonly perUnit: number;
  readonly kind: 'scale' | 'shift';
  /** In the documented unit. */
  get(from: Fitted): number;
  set(to: Fitted, value: number): Fitted;
  /** Spread of the prior: of the logarithm, or in the documented unit. */
  readonly sd: number;
  readonly min: number;
  readonly max: number;
}

/** A factor of two either way is an ordinary ignorance of an engine. Assumed. */
const SD = 0.7;
const FACTOR = 8;

type Put<T> = (to: Fitted, value: number) => T;

function scale(name: string, key: string, unit: string, perUnit: number, get: (from: Fitted) => number, put: Put<Fitted>, sd = SD, most = FACTOR): Knob {
  return { name, key, unit, perUnit, kind: 'scale', get: (from) => get(from) / perUnit, set: (to, value) => put(to, value * perUnit), sd, min: -Math.log(most), max: Math.log(most) };
}

const withEngine = (to: Fitted, engine: Partial<EngineSettings>): Fitted => ({ ...to, engine: { ...to.engine, ...engine } });
const withValve = (to: Fitted, valve: object): Fitted => ({ ...to, valve: { ...to.valve, ...valve } as ValveSettings });
const sizeOf = (r: RestrictionSettings): number => (r.by === 'flow' ? r.flow : r.area);
const resized = (r: RestrictionSettings, value: number): RestrictionSettings => (r.by === 'flow' ? { ...r, flow: value } : { ...r, area: value });
const restrictionUnit = (r: RestrictionSettings): readonly [string, string, number] => (r.by === 'flow' ? ['flow', 'g/s', 1e-3] : ['area', 'mm^2', 1e-6]);

const BAR = 1e5;
const PER_DEG2 = (180 / Math.PI) ** 2;
const DEG = Math.PI / 180;

function frictionKnobs({ engine }: Fitted): readonly Knob[] {
  const { friction } = engine;
  if (friction.law === 'barnes-moss') return [scale('friction', 'engine.friction.scale', '', 1, (f) => (f.engine.friction as typeof friction).scale, (f, v) => withEngine(f, { friction: { ...friction, scale: v } }))];
  const put = (f: Fitted, field: string, v: number): Fitted => withEngine(f, { friction: { ...f.engine.friction, [field]: v } as EngineSettings['friction'] });
  const get = (f: Fitted, field: string): number => (f.engine.friction as unknown as Record<string, number>)[field]!;
  const rubbing = friction.law === 'rubbing';
  const [level, slope] = rubbing ? (['fmep', 'fmepSpeed'] as const) : (['torque', 'torqueSpeed'] as const);
  const [levelUnit, slopeUnit, perUnit] = rubbing ? (['bar', 'bar s', BAR] as const) : (['N m', 'N m s/rad', 1] as const);
  const start = get({ engine } as Fitted, level) / perUnit;
  return [
    scale('friction, level', `engine.friction.${level}`, levelUnit, perUnit, (f) => get(f, level), (f, v) => put(f, level, v)),
    {
      // may be nothing, or fall with the speed: a shift; 1000 rpm more may well change friction by a quarter. Common practice, no source
      name: 'friction, by speed', key: `engine.friction.${slope}`, unit: slopeUnit, perUnit, kind: 'shift', get: (f) => get(f, slope) / perUnit, set: (f, v) => put(f, slope, v * perUnit),
      sd: start / 400, min: -start / 50, max: start / 50,
    },
  ];
}

/** The knobs that an engine, its valve and the loads of a log have. */
export function knobsOf(base: Fitted): readonly Knob[] {
  const { engine, valve, loads } = base;
  const [leakField, leakUnit, leakPer] = restrictionUnit(engine.throttle.leak);
  const [sizeField, sizeUnit, sizePer] = restrictionUnit(valve.size);
  const knobs: Knob[] = [
    scale('inertia', 'engine.inertia', 'kg m^2', 1, (f) => f.engine.inertia, (f, v) => withEngine(f, { inertia: v })),
    scale('plenum volume', 'engine.manifold.volume', 'L', 1e-3, (f) => f.engine.manifold.volume, (f, v) => withEngine(f, { manifold: { ...f.engine.manifold, volume: v } })),
    ...frictionKnobs(base),
    scale('friction, cold oil', 'engine.oil.exponent', '', 1, (f) => f.engine.oil.exponent, (f, v) => withEngine(f, { oil: { ...f.engine.oil, exponent: v } }), SD, 3),
    scale('leak past plate', `engine.throttle.leak.${leakField}`, leakUnit, leakPer, (f) => sizeOf(f.engine.throttle.leak), (f, v) => withEngine(f, { throttle: { ...f.engine.throttle, leak: resized(f.engine.throttle.leak, v) } })),
    // its square is the plate's area: a factor of two either way
    scale('throttle bore', 'engine.throttle.bore', 'mm', 1e-3, (f) => f.engine.throttle.bore, (f, v) => withEngine(f, { throttle: { ...f.engine.throttle, bore: v } }), SD / 2, 4),
    scale('valve, wide open', `valve.size.${sizeField}`, sizeUnit, sizePer, (f) => sizeOf(f.valve.size), (f, v) => withValve(f, { size: resized(f.valve.size, v) })),
    scale('torque delay', 'engine.delays.charge', 'deg', DEG, (f) => f.engine.delays.charge, (f, v) => withEngine(f, { delays: { ...f.engine.delays, charge: v } }), SD, 4),
    scale('spark slope', 'engine.torque.sparkLoss', '1/deg^2', PER_DEG2, (f) => f.engine.torque.sparkLoss, (f, v) => withEngine(f, { torque: { ...f.engine.torque, sparkLoss: v } })),
  ];
  if ('lag' in valve && valve.lag > 0) knobs.push(scale('valve lag', 'valve.lag', 's', 1, (f) => (f.valve as typeof valve).lag, (f, v) => withValve(f, { lag: v })));
  const dead = 'opening' in valve ? deadEnd(valve) : null;
  if (dead !== null && dead > 0) {
    knobs.push({
      // 4 % of the duty is half an ordinary dead end. Assumed
      name: 'valve, dead end', key: 'valve.opening', unit: '%', perUnit: 1, kind: 'shift', get: (f) => deadEnd(f.valve as unknown as Opening) ?? 0, set: shiftOpening, sd: 4, min: 0.5 - dead, max: 25,
    });
  }
  loads.forEach(({ name }, i) => {
    const put = (to: Fitted, value: number): Fitted => ({
      ...to,
      loads: to.loads.map((load, j) => (j === i ? { ...load, torque: load.torque * (value / atIdle(load)), square: load.square * (value / atIdle(load)), power: load.power * (value / atIdle(load)) } : load)),
    });
    knobs.push(scale(`load ${name}`, `load:${name}`, 'N m', 1, (f) => atIdle(f.loads[i]!), put, 1));
  });
  return knobs;
}

/**
 * What bends the laws: spark of the most torque, filling and friction by speed. An engine of another kind than the model differs
 * in these; they are fitted where the errors say that the model is not the engine.
 */
export function shapeKnobsOf({ engine }: Fitted): readonly Knob[] {
  const { friction } = engine;
  const shift = (name: string, key: string, unit: string, perUnit: number, get: (from: Fitted) => number, put: Put<Fitted>, sd: number): Knob => ({
    name, key, unit, perUnit, kind: 'shift', get: (from) => get(from) / perUnit, set: (to, value) => put(to, value * perUnit), sd, min: -4 * sd, max: 4 * sd,
  });
  const withFriction = (f: Fitted, field: string, v: number): Fitted => withEngine(f, { friction: { ...f.engine.friction, [field]: v } as EngineSettings['friction'] });
  const square = friction.law === 'rubbing' ? 'fmepSpeed2' : friction.law === 'barnes-moss' ? null : 'torqueSpeed2';
  return [
    // engines of the trade lie between 20 and 40 degrees at idle. Common practice, no source
    shift('spark of most torque', 'engine.torque.mbt', 'deg', DEG, (f) => f.engine.torque.mbt, (f, v) => withEngine(f, { torque: { ...f.engine.torque, mbt: v } }), 6),
    shift('filling, by speed', 'engine.charge.fillingSpeed', 's/rad', 1, (f) => f.engine.charge.fillingSpeed, (f, v) => withEngine(f, { charge: { ...f.engine.charge, fillingSpeed: v } }), 1e-3),
    // a plate that shuts nearer to square with the bore opens with the square of its travel
    { ...shift('plate, shut at', 'engine.throttle.closedAngle', 'deg', DEG, (f) => f.engine.throttle.closedAngle, (f, v) => withEngine(f, { throttle: { ...f.engine.throttle, closedAngle: v } }), 3), min: -Math.min(9, engine.throttle.closedAngle / DEG), max: 12 },
    ...(square === null ? [] : [shift('friction, by square', `engine.friction.${square}`, square === 'fmepSpeed2' ? 'bar s^2' : 'N m s^2/rad^2', square === 'fmepSpeed2' ? BAR : 1,
      (f) => (f.engine.friction as unknown as Record<string, number>)[square]!, (f, v) => withFriction(f, square, v), square === 'fmepSpeed2' ? 1e-5 : 2e-4)]),
  ];
}

/** Speed at which the torque of a load is told, rad/s (800 rpm). */
export const IDLE_SPEED = (800 * Math.PI) / 30;
/** Torque of a load at the crank at 800 rpm, N·m. */
export const atIdle = ({ torque, square, power }: FittedLoad): number => torque + square * IDLE_SPEED * IDLE_SPEED + power / IDLE_SPEED;

type Opening = { readonly opening: { readonly x: readonly number[]; readonly y: readonly number[] } };

/** Command up to which the valve stays shut, %; null where the curve has no point between its ends. */
function deadEnd({ opening: { x, y } }: Opening): number | null {
  let i = 0;
  while (i + 1 < y.length && y[i + 1]! <= y[0]!) i++;
  return i > 0 && x.length > 2 ? x[i]! : null;
}

/** Moves the points between the ends so that the lower dead end comes to lie at `value`, %. */
function shiftOpening(to: Fitted, value: number): Fitted {
  const { opening } = to.valve as unknown as Opening;
  const by = value - (deadEnd(to.valve as unknown as Opening) ?? 0);
  const last = opening.x.length - 1;
  const x = opening.x.map((at, i) => (i === 0 || i === last ? at : Math.min(99.9 - 0.01 * (last - i), Math.max(0.01 * i, at + by))));
  return withValve(to, { opening: { x, y: opening.y } });
}

/** Value of a knob, documented unit, that a fitted number stands for. */
export const knobValue = (knob: Knob, prior: number, fitted: number): number => (knob.kind === 'scale' ? prior * Math.exp(fitted) : prior + fitted);

/** An engine with its knobs turned. @param fitted one a knob */
export const turned = (base: Fitted, knobs: readonly Knob[], fitted: ArrayLike<number>): Fitted =>
  knobs.reduce((at, knob, i) => ((fitted[i] ?? 0) === 0 ? at : knob.set(at, knobValue(knob, knob.get(base), fitted[i]!))), base);
