/**
 * The table of controller settings, in the reader's units. `air` is the unit of the valve, % or step: defaults and ranges
 * of such rows are written for 0 … 100 % and scale with the number of steps.
 */
import { curve, group, list, own, text, type Values } from '../parameter/table.js';
import { entryTable } from './entry.js';
import { learnTable } from './learn.js';
import { openAirTable } from './open-air.js';
import { pidTable } from './pid.js';
import { sparkTable } from './spark.js';
import { startTable } from './start-air.js';

const clampTable = {
  lowest: own({ unit: 'air', default: 0, min: 0, max: 100, meaning: 'least air command' }),
  highest: own({ unit: 'air', default: 100, min: 0, max: 100, meaning: 'most air command' }),
} as const;

const loadTable = {
  name: text({ default: 'required', meaning: 'name; a drill event of this name asks for this load' }),
  air: own({ unit: 'air', default: 0, min: 0, max: 100, meaning: 'air added while it is asked for' }),
  speedUp: own({ as: 'speedUpRpm', unit: 'rpm', default: 0, min: 0, max: 1000, meaning: 'target added while it is asked for' }),
  lead: own({ as: 'leadS', unit: 's', default: 0, min: 0, max: 5, meaning: 'air first, load later, where the controller switches it', source: 'common practice, no source: a little under a second' }),
  cycleOn: own({ as: 'cycleOnS', unit: 's', default: 15, min: 0.5, max: 600, meaning: 'on-part of its cycle, where it cycles', source: 'recorded compressors cycle with periods near 30 s' }),
  cycleOff: own({ as: 'cycleOffS', unit: 's', default: null, min: 0.5, max: 600, meaning: 'off-part of its cycle; it does not cycle when not given' }),
} as const;

export const controllerTable = {
  period: own({ as: 'periodS', unit: 's', default: 0.02, min: 0.001, max: 0.5, meaning: 'time between ticks; a whole number of integration steps', source: 'common practice, no source' }),
  range: own({ as: 'airFull', unit: 'air', default: null, min: 1, max: 2000, meaning: 'full range of the valve as the controller believes it; that of the valve when not given' }),
  target: curve({
    x: { name: 'coolant', unit: 'degC', min: -40, max: 130 },
    y: { name: 'speed', unit: 'rpm', min: 300, max: 3000 },
    default: [[-20, 1300], [20, 1100], [60, 880], [80, 800]],
    stored: 'unit',
    as: 'targetRpm',
    meaning: 'target speed against coolant',
    source: 'common practice, no source',
  }),
  base: curve({
    x: { name: 'coolant', unit: 'degC', min: -40, max: 130 },
    y: { name: 'air', unit: 'air', min: 0, max: 100 },
    default: [[-20, 75], [20, 50], [60, 33], [80, 27]],
    stored: 'unit',
    meaning: 'air command before anything is added, against coolant',
    source: 'assumed, for the default engine',
  }),
  intakeAir: curve({
    x: { name: 'intake air', unit: 'degC', min: -40, max: 90 },
    y: { name: 'air', unit: 'air', min: -50, max: 50 },
    default: [[20, 0]],
    stored: 'unit',
    meaning: 'air command added, against intake-air temperature',
    source: 'assumed: none',
  }),
  start: group({ rows: startTable, meaning: 'air around the start' }),
  openAir: group({ rows: openAirTable, meaning: 'air only while the loop is open' }),
  learn: group({ rows: learnTable, meaning: 'long-term learning of the base' }),
  clamp: group({ rows: clampTable, meaning: 'limits of the air command' }),
  hold: own({ unit: 'air', default: null, min: 0, max: 100, meaning: 'a fixed air command, which proves the valve; the loop stays open' }),
  entry: group({ rows: entryTable, meaning: 'when the loop may close' }),
  pid: group({ rows: pidTable, meaning: 'the air loop' }),
  spark: group({ rows: sparkTable, meaning: 'idle spark' }),
  loads: list({ of: group({ rows: loadTable, meaning: 'a load that the controller knows of' }), max: 20, meaning: 'loads with air, speed-up and lead of their own' }),
} as const;
export type ControllerSettings = Values<typeof controllerTable>;

