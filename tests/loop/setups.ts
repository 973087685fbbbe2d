/** Whole setups for tests of the loop: the defaults, with what differs. */
import { type ControllerSettings, controllerTable } from '../../src/controller/parameters.js';
import { drillTable, runTable } from '../../src/loop/parameters.js';
import type { Setup } from '../../src/loop/setup.js';
import { fill, type Partly } from '../../src/parameter/fill.js';
import type { Values } from '../../src/parameter/table.js';
import { engineTable } from '../../src/plant/engine.js';
import { type ValveSettings, valveTable } from '../../src/plant/valves/index.js';

export const RPM = Math.PI / 30;

export interface Differing {
  readonly engine?: Partly<Values<typeof engineTable>>;
  readonly valve?: Partly<ValveSettings>;
  readonly controller?: Partly<ControllerSettings>;
  readonly drill?: Partly<Values<typeof drillTable>>;
  readonly run?: Partly<Values<typeof runTable>>;
}

export const setupOf = (given: Differing = {}): Setup => ({
  engine: { model: 'mean-value', ...fill(engineTable, given.engine) },
  valve: fill({ valve: valveTable }, { valve: given.valve }).valve,
  controller: fill(controllerTable, given.controller),
  drill: fill(drillTable, given.drill),
  run: fill(runTable, given.run),
});
