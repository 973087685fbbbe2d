/** How a run is made, and what a drill is: timed events. Stored in SI. */
import { choice, flag, group, list, own, si, text, variant, type Values } from '../parameter/table.js';

export const runTable = {
  duration: si({ unit: 's', default: 15, min: 0.1, max: 7200, meaning: 'length of the run' }),
  step: si({ unit: 's', default: 0.001, min: 0.00001, max: 0.005, meaning: 'fixed integration step', source: 'assumed: a tenth of the shortest lag; --step-check says what it costs' }),
  record: si({ unit: 's', default: 0.01, min: 0.0001, max: 1, meaning: 'spacing of the rows kept; a whole number of steps' }),
  seed: own({ unit: '1', default: 1, min: 0, max: 4294967295, integer: true, meaning: 'seed of the roughness' }),
  senseResolution: own({ as: 'senseResolutionRpm', unit: 'rpm', default: 1, min: 0, max: 50, meaning: 'rounding of the sensed speed; 0 for none', source: 'common practice, no source' }),
} as const;
export type RunSettings = Values<typeof runTable>;

export const startTable = {
  speed: si({ unit: 'rpm', default: null, min: 0, max: 8000, meaning: 'crank speed at the start; the target when not given' }),
  coolant: si({ unit: 'degC', default: 90, min: -40, max: 130, meaning: 'coolant temperature' }),
  oil: si({ unit: 'degC', default: null, min: -40, max: 160, meaning: 'oil temperature; the coolant when not given' }),
  intakeAir: si({ unit: 'degC', default: null, min: -40, max: 90, meaning: 'intake-air temperature as sensed; the ambient when not given' }),
  gear: own({ unit: '1', default: 0, min: 0, max: 10, integer: true, meaning: 'gear engaged, 0 for neutral' }),
  clutch: choice({ options: ['up', 'down'], default: 'up', meaning: 'clutch pedal' }),
  vehicleSpeed: si({ unit: 'km/h', default: null, min: 0, max: 250, meaning: 'vehicle speed; in gear with the clutch up, that of the crank, else standing' }),
  throttle: own({ as: 'throttlePct', unit: '%', default: 0, min: 0, max: 100, meaning: 'pedal' }),
  supply: si({ unit: 'V', default: 14, min: 6, max: 18, meaning: 'supply voltage' }),
  engine: choice({ options: ['running', 'off'], default: 'running', meaning: 'engine running, or off and to be cranked' }),
  settled: flag({ default: true, meaning: 'start with the integral that holds the engine at its target out of gear, as after a while at idle; no: start with it at zero' }),
} as const;
export type StartSettings = Values<typeof startTable>;

const at = si({ unit: 's', default: 'required', min: 0, max: 7200, meaning: 'when' });
const name = text({ default: '', meaning: 'name in the report; the kind of event when empty' });

/** A new kind of event is one entry here and one in `events.ts`. */
export const eventTable = {
  load: {
    at, name,
    torque: si({ unit: 'N m', default: 0, min: -50, max: 200, meaning: 'torque at the crank from then on; 0 takes it off' }),
    power: si({ unit: 'W', default: 0, min: 0, max: 20000, meaning: 'power at the crank from then on, besides: its torque rises as the speed falls' }),
    rise: si({ unit: 's', default: 0, min: 0, max: 10, meaning: 'time to reach it, in a straight line' }),
    hold: si({ unit: 's', default: null, min: 0, max: 7200, meaning: 'time after which it is off again; for ever when not given' }),
  },
  throttle: {
    at, name,
    opening: own({ as: 'openingPct', unit: '%', default: 'required', min: 0, max: 100, meaning: 'pedal from then on' }),
    until: si({ unit: 'rpm', default: null, min: 200, max: 8000, meaning: 'speed at which the pedal is released again (a blip); not at all when not given' }),
  },
  clutch: {
    at, name,
    pedal: choice({ options: ['up', 'down'], default: 'down', meaning: 'where the pedal goes' }),
    time: si({ unit: 's', default: 0.2, min: 0, max: 5, meaning: 'time it takes' }),
  },
  gear: { at, name, gear: own({ unit: '1', default: 'required', min: 0, max: 10, integer: true, meaning: 'gear engaged, 0 for neutral' }) },
  'vehicle-speed': { at, name, speed: si({ unit: 'km/h', default: 'required', min: 0, max: 250, meaning: 'vehicle speed put to this' }) },
  target: { at, name, add: own({ as: 'addRpm', unit: 'rpm', default: 'required', min: -1500, max: 3000, meaning: 'added to the target from then on' }) },
  supply: {
    at, name,
    voltage: si({ unit: 'V', default: 'required', min: 6, max: 18, meaning: 'supply voltage from then on, held from outside: an alternator stands aside' }),
    hold: si({ unit: 's', default: null, min: 0, max: 7200, meaning: 'time after which it is as before; for ever when not given' }),
  },
  coolant: { at, name, temperature: si({ unit: 'degC', default: 'required', min: -40, max: 130, meaning: 'coolant and oil temperature from then on' }) },
  starter: { at, name, hold: si({ unit: 's', default: 1, min: 0.1, max: 30, meaning: 'how long the starter turns; it lets go when the engine has caught' }) },
  machine: {
    at,
    name: text({ default: 'required', meaning: 'which of `engine.machines`; through the load of the controller of this name, where there is one' }),
    on: flag({ default: true, meaning: 'on, or off' }),
    hold: si({ unit: 's', default: null, min: 0, max: 7200, meaning: 'time after which it is off again; for ever when not given' }),
  },
  electrical: {
    at, name,
    power: si({ unit: 'W', default: 0, min: 0, max: 5000, meaning: 'electrical power asked for from then on, beside what the engine needs; 0 takes it off. Needs an alternator' }),
    inrush: own({ unit: '1', default: 0, min: 0, max: 10, meaning: 'share of it on top as it is switched on: a motor that starts', source: 'assumed: none' }),
    inrushTime: si({ unit: 's', default: 0.5, min: 0.01, max: 10, meaning: 'time in which that is gone, in a straight line', source: 'assumed' }),
    hold: si({ unit: 's', default: null, min: 0, max: 7200, meaning: 'time after which it is off again; for ever when not given' }),
  },
  air: {
    at, name,
    flow: si({ unit: 'g/s', default: 0, min: 0, max: 30, meaning: 'air that nobody commands from then on (canister purge, a leak), as a bench reads it at 60 kPa; 0 takes it off' }),
    hold: si({ unit: 's', default: null, min: 0, max: 7200, meaning: 'time after which it is gone again; for ever when not given' }),
  },
  mark: { at, name },
} as const;

export const drillTable = {
  name: text({ default: 'steady idle', meaning: 'name of the drill' }),
  start: group({ rows: startTable, meaning: 'where the run starts' }),
  events: list({ of: variant({ tag: 'do', options: eventTable, default: 'required', meaning: 'what happens' }), max: 200, meaning: 'timed events, in the order of their times' }),
} as const;
export type DrillSettings = Values<typeof drillTable>;
export type DrillEvent = DrillSettings['events'][number];
