/**
 * The engine linearised about an idle: derivatives of the plant's own laws, not of a simulated run.
 *
 *     δp' = a₁δp + a₂δω + a₃δx                       x: opening of the valve, 0 … 1
 *     δω' = b₁δp + b₂δω + b₃δm(t − τ) + b₄δθ(t − τ_s) − δT/J
 *     δm  = c₁δp + c₂δω                              m: charge drawn in
 *
 * A delay in crank angle, m(φ(t) − Δ), becomes the plain delay τ = Δ/ω₀: what was drawn in before was the same all along,
 * so when it comes back does not matter to first order, only that what was different comes Δ/ω₀ later.
 * Sources of the laws: those of src/plant. Derivatives: central differences with Richardson's extrapolation (L. F.
 * Richardson and J. A. Gaunt, Phil. Trans. R. Soc. A 226 (1927) 299); tests hold them against derivatives by hand and
 * against the simulated plant.
 */
import { interpolate } from '../numerics/curve.js';
import { createAirPath } from '../plant/air-path.js';
import { createAlternator } from '../plant/alternator.js';
import { basicsOf, lawsOf } from '../plant/compose.js';
import type { EngineSettings } from '../plant/engine.js';
import type { FuelCutSettings } from '../plant/fuel-cut.js';
import type { Laws } from '../plant/laws/law.js';
import { oilThickness } from '../plant/oil.js';
import type { ValveSettings } from '../plant/valves/index.js';
import type { Equilibrium } from './equilibrium.js';
import { type ValveResponse, valveResponseOf } from './idle-valve.js';

export interface LinearEngine {
  /** Derivatives of dp/dt, 1/s, Pa/rad and Pa/s. */
  readonly pressure: { readonly byPressure: number; readonly bySpeed: number; readonly byOpening: number };
  /** Derivatives of dω/dt; `byLoad` is −1/J. */
  readonly speed: { readonly byPressure: number; readonly bySpeed: number; readonly byCharge: number; readonly bySpark: number; readonly byLoad: number };
  /** Derivatives of the charge drawn in. */
  readonly charge: { readonly byPressure: number; readonly bySpeed: number };
  /** s. */
  readonly chargeDelay: number;
  readonly sparkDelay: number;
  /** Time over which a charge is gathered, and again held while it fires, s: the half turn of a model of whole firings; else 0. */
  readonly window: number;
  /** A film on the port walls, which leans the mixture while the air rises; null without. */
  readonly film: LinearFilm | null;
  readonly valve: ValveResponse;
}

/**
 * dω/dt feels `gain`·X·τ·s/(1 + τ·s) times the relative change of the air drawn in, δm/m₀ + δω/ω₀, a charge delay later:
 * ṁ_cyl/ṁ_inj = (1 + (1 − X)·τ·s)/(1 + τ·s), and the mixture is what the air has of that. Source: wall-film.ts.
 */
export interface LinearFilm {
  readonly gain: number;
  readonly fraction: number;
  readonly time: number;
  readonly charge: number;
  readonly omega: number;
}

const FOUR_PI = 4 * Math.PI;
/** Step of the differences, of the value: their error is about 1e-12 of the curvature's scale, rounding 1e-12 of the value. */
const PART = 1e-3;

/** df/dx by central differences of width h and h/2, extrapolated to none. */
export function slopeOf(f: (x: number) => number, x: number, h: number): number {
  const central = (k: number): number => (f(x + k) - f(x - k)) / (2 * k);
  return (4 * central(h / 2) - central(h)) / 3;
}

/** The steady terms of the torque balance at an equilibrium, N·m, charge, kg a cycle, and air, kg/s. */
export interface Balance {
  readonly charge: number;
  readonly air: number;
  readonly indicated: number;
  readonly pumping: number;
  readonly friction: number;
  readonly load: number;
}

/**
 * Linearises the mean-value engine.
 *
 * @param step integration step, s: the smoothing of the flow near equal pressures depends on it
 * @throws RangeError where no linear model holds: an alternator at its limit, a fuel cut at idle, torque that does not balance
 */
export function linearise(engine: EngineSettings, valve: ValveSettings, at: Equilibrium, step: number): { readonly engine: LinearEngine; readonly balance: Balance } {
  const basics = basicsOf(engine);
  const laws = lawsOf(engine, valve, basics);
  const path = createAirPath(engine, valve, step, basics.ambient, laws);
  const { omega, pressure, spark, inputs } = at;
  const thickness = oilThickness(engine.oil, inputs.oil);
  const lambda = interpolate(engine.fuel.lambda, inputs.coolant);
  const mixture = laws.mixture(lambda);
  const generator = generatorPower(engine, at, step);
  refuseCut(engine.fuelCut, omega);

  const charge = laws.charge(omega, pressure);
  const air = (charge * omega) / FOUR_PI;
  const area = air / path.flow(1, pressure);
  const burnt = (m: number, theta: number, w: number, p: number): number => mixture * laws.torque(m, theta, w, p);
  const losses = (w: number, p: number): number => laws.pumping(p, w) + laws.friction(w, thickness) + generator / w;
  const balance = {
    charge, air, indicated: burnt(charge, spark, omega, pressure), pumping: laws.pumping(pressure, omega),
    friction: laws.friction(omega, thickness), load: generator / omega,
  };
  refuseImbalance(balance);

  const perVolume = (basics.ambient.gasConstant * basics.manifoldTemperature) / engine.manifold.volume;
  const net = (w: number, p: number): number => perVolume * (path.flow(area, p) - (laws.charge(w, p) * w) / FOUR_PI);
  const torque = (w: number, p: number): number => (burnt(charge, spark, w, p) - losses(w, p)) / engine.inertia;
  const [dw, dp] = [PART * omega, PART * pressure];
  const response = valveResponseOf(valve, laws, at);
  return {
    balance,
    engine: {
      pressure: {
        byPressure: slopeOf((p) => net(omega, p), pressure, dp),
        bySpeed: slopeOf((w) => net(w, pressure), omega, dw),
        byOpening: perVolume * path.flow(1, pressure) * response.areaSlope,
      },
      speed: {
        byPressure: slopeOf((p) => torque(omega, p), pressure, dp),
        bySpeed: slopeOf((w) => torque(w, pressure), omega, dw),
        byCharge: slopeOf((m) => burnt(m, spark, omega, pressure), charge, PART * charge) / engine.inertia,
        bySpark: slopeOf((theta) => burnt(charge, theta, omega, pressure), spark, PART) / engine.inertia,
        byLoad: -1 / engine.inertia,
      },
      charge: {
        byPressure: slopeOf((p) => laws.charge(omega, p), pressure, dp),
        bySpeed: slopeOf((w) => laws.charge(w, pressure), omega, dw),
      },
      chargeDelay: engine.delays.charge / omega,
      sparkDelay: (engine.delays.spark ?? FOUR_PI / basics.cylinders) / omega,
      window: 0,
      film: filmOf(engine, laws, lambda, balance, omega),
      valve: response.valve,
    },
  };
}

function filmOf({ wallFilm, inertia }: EngineSettings, laws: Laws, lambda: number, { charge, indicated }: Balance, omega: number): LinearFilm | null {
  if (wallFilm.is === 'off') return null;
  const relative = (slopeOf(laws.mixture, lambda, PART * lambda) * lambda) / laws.mixture(lambda);
  return { gain: (indicated * relative) / inertia, fraction: wallFilm.fraction, time: wallFilm.time, charge, omega };
}

/**
 * What the alternator takes, W. Meeting a demand it takes the same power at any speed (the field's ramp is at rest), which
 * the 1/ω of the torque balance has. At its limit the current follows the speed down at once and up slowly.
 */
function generatorPower(engine: EngineSettings, at: Equilibrium, step: number): number {
  const alternator = createAlternator(engine.alternator, step);
  if (alternator === null || engine.alternator.fitted === 'no') return 0;
  const inputs = { ...at.inputs };
  alternator.rest(at.omega, inputs);
  const wanted = (engine.alternator.demand + inputs.electrical) / engine.alternator.regulated;
  if (!inputs.supplyHeld && alternator.now.current < wanted * (1 - 1e-9)) {
    throw new RangeError('no linear model: at this speed the alternator is at its limit, where it answers a fall of the speed otherwise than a rise');
  }
  return alternator.now.power;
}

function refuseCut(cut: FuelCutSettings, omega: number): void {
  if (cut.is === 'on' && omega > cut.resumeSpeed) throw new RangeError('no linear model: at this speed the overrun fuel cut comes and goes (engine.fuelCut.resumeSpeed)');
}

function refuseImbalance({ indicated, pumping, friction, load }: Balance): void {
  const left = indicated - pumping - friction - load;
  if (!(Math.abs(left) <= 1e-6 * (1 + indicated))) {
    throw new RangeError(`no idle: at this speed the torques do not balance, ${Number(left.toPrecision(3))} N m left; the engine ${left > 0 ? 'gives more at the least pressure' : 'cannot carry itself at the most'}`);
  }
}
