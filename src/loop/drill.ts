/**
 * A drill at work: timed events turned into what the plant and the controller feel, on whole steps.
 *
 * A new kind of event is an entry in `eventTable` and one in `EVENTS` here.
 */
import type { Controller } from '../controller/types.js';
import { OMEGA, type Plant, VEHICLE } from '../plant/types.js';
import { fromSI } from '../parameter/unit.js';
import { askLoad, createTimedLoad, moveLoads, type TimedLoad } from './loads.js';
import type { DrillEvent, DrillSettings } from './parameters.js';
import type { TraceEvent } from './trace.js';

export interface Drill {
  /** One a load of the controller: whether it is asked for. */
  readonly requests: boolean[];
  readonly events: readonly TraceEvent[];
  /** Brings everything to step k. @param loadsOn what the controller has let through */
  apply(k: number, loadsOn: readonly boolean[]): void;
}

type Event<K extends DrillEvent['do']> = Extract<DrillEvent, { do: K }>;

/** What an event may touch. */
interface Stage {
  readonly plant: Plant;
  readonly controller: Controller;
  readonly loads: TimedLoad[];
  readonly requests: boolean[];
  readonly loadNames: readonly string[];
  readonly ramps: { clutchFrom: number; clutchTo: number; clutchSince: number; clutchSteps: number };
  /** Pedal let go at this crank speed; Infinity for no. */
  readonly pedal: { until: number };
  steps(seconds: number): number;
  /** Does something at step k. */
  at(k: number, action: (k: number) => void): void;
}

interface Kind<K extends DrillEvent['do']> {
  /** In the reader's words. */
  describe(event: Event<K>): string;
  begin(event: Event<K>, stage: Stage, k: number, engaged: (k: number) => void): void;
}

const rpm = (omega: number): string => `${Math.round(fromSI(omega, 'rpm'))} rpm`;
const plain = (value: number): string => String(Math.round(value * 1e4) / 1e4);

const EVENTS: { readonly [K in DrillEvent['do']]: Kind<K> } = {
  load: {
    describe(event) {
      if (event.torque === 0 && event.power === 0) return 'load off';
      const parts = [event.torque === 0 ? '' : `${plain(event.torque)} N·m`, event.power === 0 ? '' : `${plain(event.power)} W`];
      return `load of ${parts.filter((part) => part !== '').join(' and ')}${event.hold === null ? '' : ` for ${plain(event.hold)} s`}`;
    },
    begin(event, stage, k, engaged) {
      const load = loadNamed(stage, event.name);
      const riseSteps = stage.steps(event.rise);
      const ask = (torque: number, power: number, tell: (k: number) => void): void => {
        askLoad(load, torque, power, riseSteps, tell);
        if (load.index >= 0) stage.requests[load.index] = load.asked;
      };
      ask(event.torque, event.power, engaged);
      if (event.hold !== null) stage.at(k + stage.steps(event.hold), () => ask(0, 0, () => undefined));
    },
  },
  throttle: {
    describe: (event) =>
      event.until === null ? `throttle to ${plain(event.openingPct)} %` : `blip: throttle ${plain(event.openingPct)} % until ${rpm(event.until)}`,
    begin(event, stage) {
      stage.plant.inputs.pedal = event.openingPct / 100;
      stage.pedal.until = event.until ?? Number.POSITIVE_INFINITY;
    },
  },
  clutch: {
    describe: (event) => `clutch ${event.pedal}`,
    begin(event, stage, k) {
      stage.ramps.clutchFrom = stage.plant.inputs.clutch;
      stage.ramps.clutchTo = event.pedal === 'down' ? 1 : 0;
      stage.ramps.clutchSince = k;
      stage.ramps.clutchSteps = stage.steps(event.time);
    },
  },
  gear: {
    describe: (event) => (event.gear === 0 ? 'into neutral' : `into gear ${event.gear}`),
    begin(event, stage) {
      stage.plant.inputs.gear = event.gear;
    },
  },
  'vehicle-speed': {
    describe: (event) => `vehicle at ${plain(fromSI(event.speed, 'km/h'))} km/h`,
    begin(event, stage) {
      stage.plant.state[VEHICLE] = event.speed;
    },
  },
  target: {
    describe: (event) => `target ${event.addRpm < 0 ? '−' : '+'}${plain(Math.abs(event.addRpm))} rpm`,
    begin(event, stage) {
      stage.controller.setTargetOffset(event.addRpm);
    },
  },
  supply: {
    describe: (event) => `supply ${plain(event.voltage)} V${event.hold === null ? '' : ` for ${plain(event.hold)} s`}`,
    begin(event, stage, k) {
      const before = stage.plant.inputs.supply;
      stage.plant.inputs.supply = event.voltage;
      if (event.hold !== null) stage.at(k + stage.steps(event.hold), () => {
          stage.plant.inputs.supply = before;
        });
    },
  },
  coolant: {
    describe: (event) => `coolant ${plain(fromSI(event.temperature, 'degC'))} °C`,
    begin(event, stage) {
      stage.plant.inputs.coolant = event.temperature;
      stage.plant.inputs.oil = event.temperature;
    },
  },
  starter: {
    describe: () => 'starter',
    begin(event, stage, k) {
      stage.plant.inputs.starter = true;
      stage.at(k + stage.steps(event.hold), () => {
        stage.plant.inputs.starter = false;
      });
    },
  },
  mark: { describe: () => 'mark', begin: () => undefined },
};

function loadNamed(stage: Stage, name: string): TimedLoad {
  const known = stage.loads.find((load) => load.name === name);
  if (known !== undefined) return known;
  const load = createTimedLoad(name, stage.loadNames.indexOf(name));
  stage.loads.push(load);
  return load;
}

/**
 * @param loadNames names of the controller's loads, in order; a load event of one of these names goes through it
 */
export function createDrill(settings: DrillSettings, plant: Plant, controller: Controller, loadNames: readonly string[]): Drill {
  const steps = (seconds: number): number => Math.round(seconds / plant.step);
  const requests = loadNames.map(() => false);
  const schedule: { k: number; action: (k: number) => void }[] = [];
  const events: TraceEvent[] = [];
  const due = { next: 0, moving: false };
  const at = (k: number, action: (k: number) => void): void => {
    let place = schedule.length;
    while (place > due.next && schedule[place - 1]!.k > k) place -= 1;
    schedule.splice(place, 0, { k, action });
  };
  const stage: Stage = {
    plant, controller, requests, loadNames, steps, at,
    loads: [],
    ramps: { clutchFrom: 0, clutchTo: plant.inputs.clutch, clutchSince: 0, clutchSteps: 0 },
    pedal: { until: Number.POSITIVE_INFINITY },
  };
  for (const event of settings.events) {
    at(steps(event.at), (k) => {
      const kind = EVENTS[event.do] as Kind<DrillEvent['do']>;
      const place = events.length;
      events.push({ atS: k * plant.step, engagedS: k * plant.step, name: event.name === '' ? event.do : event.name, what: kind.describe(event) });
      kind.begin(event, stage, k, (engaged) => {
        events[place] = { ...events[place]!, engagedS: engaged * plant.step };
      });
    });
  }

  const moveClutch = (k: number): boolean => {
    const { clutchFrom, clutchTo, clutchSince, clutchSteps } = stage.ramps;
    const share = k - clutchSince >= clutchSteps ? 1 : (k - clutchSince) / clutchSteps;
    plant.inputs.clutch = clutchFrom + share * (clutchTo - clutchFrom);
    return share < 1;
  };

  return {
    requests,
    events,
    apply(k, loadsOn) {
      while (due.next < schedule.length && schedule[due.next]!.k <= k) {
        schedule[due.next]!.action(k);
        due.next += 1;
        due.moving = true;
      }
      if (due.moving) {
        const loadsMoving = moveLoads(stage.loads, loadsOn, plant.inputs, k);
        due.moving = moveClutch(k) || loadsMoving;
      }
      if (plant.state[OMEGA]! >= stage.pedal.until) {
        plant.inputs.pedal = 0;
        stage.pedal.until = Number.POSITIVE_INFINITY;
      }
    },
  };
}
