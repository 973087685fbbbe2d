/**
 * The idle at rest: where a scenario's engine, valve and controller balance in neutral with nothing switched on. SI.
 *
 * What varies slowly beside an idle's swings (coolant, oil, battery) is held where it is.
 */
import { createController } from '../controller/controller.js';
import type { Setup } from '../loop/setup.js';
import { firstMeasured, startAt } from '../loop/start.js';
import { createModel } from '../plant/models.js';
import type { Plant, PlantInputs } from '../plant/types.js';

export interface Equilibrium {
  /** Crank speed, rad/s, and manifold pressure, Pa. */
  readonly omega: number;
  readonly pressure: number;
  /** Valve command, 0 … 1 of the valve's range, unrounded: whole steps are a matter of limit-cycle.ts. */
  readonly air: number;
  /** The same in the controller's unit. */
  readonly command: number;
  /** rad before top dead centre. */
  readonly spark: number;
  /** Whether the command is held, so that no loop acts on the air. */
  readonly held: boolean;
  /** As the plant has them: coolant and oil, K; supply, V; everything switched off. */
  readonly inputs: Readonly<PlantInputs>;
  /** Crank angle between firings, rad. */
  readonly firingInterval: number;
}

export interface EquilibriumOptions {
  /** K; that of the drill's start when not given. Oil follows it, unless the drill says otherwise. */
  readonly coolant?: number;
}

const RPM = Math.PI / 30;
const AIR_TOLERANCE = 1e-6;

/** The setup as it idles: neutral, clutch up, foot off, running and warm as said, no event before or after. */
function idling(setup: Setup, coolant: number | undefined): Setup {
  const { start } = setup.drill;
  const oil = coolant === undefined ? start.oil : null;
  return {
    ...setup,
    drill: {
      ...setup.drill,
      events: [],
      start: {
        ...start, coolant: coolant ?? start.coolant, oil, gear: 0, clutch: 'up', throttlePct: 0, engine: 'running', speed: null, vehicleSpeed: 0, settled: true,
      },
    },
  };
}

const rpm = (omega: number): string => `${Math.round(omega / RPM)} rpm`;
const percent = (share: number): string => `${Number((100 * share).toPrecision(3))} %`;

/**
 * Finds the equilibrium at the target speed (or, where the command is held, at the speed that it gives).
 *
 * @throws RangeError where there is none, saying what is missing: too little or too much air, a clamp, torque out of reach
 */
export function equilibriumOf(setup: Setup, options: EquilibriumOptions = {}): Equilibrium {
  const idle = idling(setup, options.coolant);
  const { controller: settings } = idle;
  const plant = createModel(idle.engine, idle.valve, { step: idle.run.step });
  const full = settings.airFull ?? plant.valve.full;
  const controller = createController({ ...settings, airFull: full });
  const measured = firstMeasured(idle, plant, settings.loads.map(() => false));
  const omega = startAt(idle, plant, controller, measured);
  const { pressure, air } = plant.trimAt(omega);
  checkReach(plant, omega, air, settings.hold === null ? null : settings.hold / full);
  if (settings.hold === null) checkClamp(omega, air * full, settings.clamp);
  return {
    omega, pressure, air, command: air * full, spark: plant.inputs.spark, held: settings.hold !== null,
    inputs: { ...plant.inputs, air }, firingInterval: plant.firingInterval,
  };
}

function checkReach(plant: Plant, omega: number, air: number, held: number | null): void {
  if (omega <= plant.stallSpeed) throw new RangeError(`no idle: the target, ${rpm(omega)}, is not above the stall speed, ${rpm(plant.stallSpeed)}`);
  if (held !== null && Math.abs(air - held) > AIR_TOLERANCE) {
    throw new RangeError(`no idle: the held command, ${percent(held)} of the valve's range, holds no speed between stall and 4000 rpm`);
  }
  if (air > 1) throw new RangeError(`no idle: ${rpm(omega)} needs more air than the valve gives wide open (${percent(air)} of its range)`);
  if (air < 0) throw new RangeError(`no idle: ${rpm(omega)} needs less air than passes with the valve shut`);
}

function checkClamp(omega: number, command: number, { lowest, highest }: Setup['controller']['clamp']): void {
  if (command >= lowest && command <= highest) return;
  const told = Number(command.toPrecision(4));
  throw new RangeError(`no idle: ${rpm(omega)} needs an air command of ${told}, which controller.clamp keeps within ${lowest} … ${highest}`);
}
