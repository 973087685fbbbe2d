/**
 * Alternator, regulator and battery. SI; A, V, W.
 *
 *     wanted   = P/V_r + (V_r − E)/R                     what holds the regulated voltage and charges the battery
 *     di/dt    = (min(wanted, most(ω·ratio)) − i)/τ      field ramp; never above `most`, nothing below the cut-in
 *     V        = E + R·(i − P/V − i_starter)             terminals: the battery gives what is missing
 *     C·dE/dt  = i − P/V − i_starter                     battery: a large capacitor behind a resistance
 *     T        = V·i/(η·ω)                               at the crank
 *
 * Meeting a demand, T rises as the speed falls: a load that pulls an idle down. At its limit i falls with the speed, T does
 * not rise, and the voltage sags instead. One step is solved exactly for a constant speed and wanted current.
 * Assumed: loads of constant power; one efficiency; no torque at no output (that is friction's).
 */
import { checkCurve, packCurve, readPacked } from '../numerics/curve.js';
import { exp } from '../numerics/elementary.js';
import { curve, own, si, type Values, variant } from '../parameter/table.js';
import { type EngineState, OMEGA, type PlantInputs } from './types.js';

export const alternatorTable = variant({
  tag: 'fitted',
  options: {
    no: {},
    yes: {
      demand: si({ unit: 'W', default: 180, min: 0, max: 3000, meaning: 'what the engine itself needs: ignition, injection, fuel pump', source: 'assumed' }),
      ratio: own({ unit: '1', default: 2.6, min: 1, max: 5, meaning: 'turns of the alternator for one of the crank', source: 'common practice, no source (2.2 to 3)' }),
      efficiency: own({ unit: '1', default: 0.6, min: 0.2, max: 0.95, meaning: 'electrical power over power at the crank, η', source: 'common practice, no source (0.55 to 0.7)' }),
      cutIn: si({ unit: 'rpm', default: 1100, min: 0, max: 4000, meaning: 'its own speed below which it gives nothing', source: 'common practice, no source' }),
      most: curve({
        x: { name: 'its own speed', unit: 'rpm', min: 0, max: 20000 },
        y: { name: 'current, A', unit: '1', min: 0, max: 500 },
        default: [[1100, 5], [1500, 35], [2000, 55], [3000, 75], [6000, 95]],
        stored: 'si',
        meaning: 'most current against its own speed',
        source: 'assumed: a 90 A machine',
      }),
      ramp: si({ unit: 's', default: 0.15, min: 0.005, max: 20, meaning: 'time constant with which its field follows, τ', source: 'assumed: the field winding; seconds with a regulator that answers loads slowly' }),
      regulated: si({ unit: 'V', default: 14.2, min: 12, max: 16, meaning: 'voltage that the regulator holds, V_r', source: 'common practice, no source' }),
      resting: si({ unit: 'V', default: 12.5, min: 9, max: 13.5, meaning: 'voltage of the battery with nothing on it, at key-on or while the alternator cannot keep up', source: 'common practice, no source' }),
      resistance: own({ unit: '1', default: 0.02, min: 0.002, max: 0.3, meaning: 'of battery and wiring, R, ohm', source: 'assumed, beside the 0.76 V that a fan of some 20 A cost a recorded 1.5 L four at first (eron93br/carOBD), wiring included' }),
      capacity: own({ unit: '1', default: 4000, min: 100, max: 1e6, meaning: 'charge that moves the battery by a volt, C, A s/V', source: 'assumed: with R a time constant of two minutes' }),
      starterCurrent: own({ unit: '1', default: 120, min: 0, max: 600, meaning: 'what the starter draws as it cranks, A', source: 'assumed' }),
    },
  },
  default: 'no',
  meaning: 'alternator, regulator and battery; without one the supply is what the drill says and costs nothing',
});
export type AlternatorSettings = Values<{ row: typeof alternatorTable }>['row'];
export type AlternatorOn = Extract<AlternatorSettings, { fitted: 'yes' }>;

/** A and V, and what the alternator takes from the crank, W. */
export interface AlternatorState {
  current: number;
  /** Of the battery behind its resistance, E. */
  inside: number;
  voltage: number;
  power: number;
}

export interface Alternator {
  readonly now: AlternatorState;
  /** Where everything would come to rest at a crank speed, rad/s. Writes the supply unless that is held. */
  rest(omega: number, inputs: PlantInputs): void;
  /** Moves by a step at the crank speed of its start. Writes the supply unless that is held. */
  move(state: Float64Array, inputs: PlantInputs, engine: EngineState): void;
}

/** @param step s  @returns null when none is fitted  @throws RangeError when the curve is none */
export function createAlternator(settings: AlternatorSettings, step: number): Alternator | null {
  if (settings.fitted === 'no') return null;
  const { demand, ratio, efficiency, cutIn, ramp, regulated, resting, resistance, capacity, starterCurrent } = settings;
  const most = packCurve(checkCurve(settings.most, 'engine.alternator.most'));
  const keep = exp(-step / ramp);
  const now: AlternatorState = { current: 0.5, inside: 0.5, voltage: 0.5, power: 0.5 };

  const mostAt = (omega: number): number => (omega * ratio < cutIn ? 0 : readPacked(most, omega * ratio));

  /** Terminals and crank, from the battery and the currents. */
  const close = (inputs: PlantInputs, starter: number): void => {
    const open = now.inside + resistance * (now.current - starter);
    const square = open * open - 4 * resistance * (demand + inputs.electrical);
    // asked for more than the battery has, the loads get the most that it can give
    now.voltage = square > 0 ? 0.5 * (open + Math.sqrt(square)) : 0.5 * open;
    if (now.voltage < 0) now.voltage = 0;
    now.power = (now.voltage * now.current) / efficiency;
    inputs.supply = now.voltage;
  };

  /** A supply held from outside: the alternator stands aside. */
  const aside = (inputs: PlantInputs): void => {
    now.current = 0;
    now.power = 0;
    now.voltage = inputs.supply;
  };

  return {
    now,
    rest(omega, inputs) {
      now.inside = resting;
      if (inputs.supplyHeld) {
        aside(inputs);
        return;
      }
      const wanted = (demand + inputs.electrical) / regulated;
      const limit = mostAt(omega);
      now.current = limit < wanted ? limit : wanted;
      if (limit >= wanted) now.inside = regulated;
      close(inputs, 0);
    },
    move(state, inputs, engine) {
      if (inputs.supplyHeld) {
        aside(inputs);
        return;
      }
      const limit = mostAt(state[OMEGA]!);
      const wanted = (demand + inputs.electrical) / regulated + (regulated - now.inside) / resistance;
      const aim = wanted < 0 ? 0 : wanted < limit ? wanted : limit;
      now.current = aim + (now.current - aim) * keep;
      if (now.current > limit) now.current = limit;
      const starter = engine === 'cranking' ? starterCurrent : 0;
      close(inputs, starter);
      // what flows into the battery follows from the voltage across its resistance
      now.inside += (step * (now.voltage - now.inside)) / (resistance * capacity);
    },
  };
}
