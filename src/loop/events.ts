/** The kinds of event: what each is called, and what it does to plant and controller. One of each in `eventTable`. */
import { type Plant, VEHICLE } from '../plant/types.js';
import { fromSI } from '../parameter/unit.js';
import { NO_DEMAND } from './loads.js';
import type { DrillEvent } from './parameters.js';
import { type Stage, switchLoad } from './stage.js';

type Event<K extends DrillEvent['do']> = Extract<DrillEvent, { do: K }>;

export interface Kind<K extends DrillEvent['do']> {
  /** In the reader's words. */
  describe(event: Event<K>): string;
  begin(event: Event<K>, stage: Stage, k: number, engaged: (k: number) => void): void;
}

const rpm = (omega: number): string => `${Math.round(fromSI(omega, 'rpm'))} rpm`;
const plain = (value: number): string => String(Math.round(value * 1e4) / 1e4);

export const EVENTS: { readonly [K in DrillEvent['do']]: Kind<K> } = {
  load: {
    describe(event) {
      if (event.torque === 0 && event.power === 0) return 'load off';
      const parts = [event.torque === 0 ? '' : `${plain(event.torque)} N·m`, event.power === 0 ? '' : `${plain(event.power)} W`];
      return `load of ${parts.filter((part) => part !== '').join(' and ')}${lasting(event.hold)}`;
    },
    begin(event, stage, k, engaged) {
      const { torque, power } = event;
      const demand = { ...NO_DEMAND, on: torque !== 0 || power !== 0, torque, power, riseSteps: stage.steps(event.rise) };
      switchLoad(stage, event.name, demand, event.hold, k, engaged);
    },
  },
  machine: {
    describe: (event) => `${event.name} ${event.on ? 'on' : 'off'}${event.on ? lasting(event.hold) : ''}`,
    begin(event, stage, k, engaged) {
      const machine = stage.plant.accessories?.machines.find((known) => known.name === event.name);
      if (machine === undefined) throw new RangeError(unknownMachine(stage.plant, event.name));
      const { torque, power, square, kick } = machine;
      const riseSteps = stage.steps(machine.engage);
      const demand = event.on
        ? { on: true, torque, power, square, electrical: 0, riseSteps, kick, kickSteps: kick > 0 ? stage.steps(machine.kickTime) : 0 }
        : { ...NO_DEMAND, riseSteps };
      switchLoad(stage, event.name, demand, event.on ? event.hold : null, k, engaged);
    },
  },
  electrical: {
    describe: (event) => (event.power === 0 ? 'electrical load off' : `electrical load of ${plain(event.power)} W${lasting(event.hold)}`),
    begin(event, stage, k, engaged) {
      const { power, inrush } = event;
      const kickSteps = inrush > 0 && power > 0 ? stage.steps(event.inrushTime) : 0;
      switchLoad(stage, event.name, { ...NO_DEMAND, on: power !== 0, electrical: power, kick: inrush, kickSteps }, event.hold, k, engaged);
    },
  },
  air: {
    describe: (event) => (event.flow === 0 ? 'unasked-for air off' : `unasked-for air of ${plain(1e3 * event.flow)} g/s${lasting(event.hold)}`),
    begin(event, stage, k) {
      const turn = (stage.airs.get(event.name)?.turn ?? 0) + 1;
      const put = (flow: number): void => {
        stage.airs.set(event.name, { flow, turn });
        let sum = 0;
        for (const air of stage.airs.values()) sum += air.flow;
        stage.plant.inputs.unasked = sum;
      };
      put(event.flow);
      if (event.hold !== null) stage.at(k + stage.steps(event.hold), () => {
          if (stage.airs.get(event.name)?.turn === turn) put(0);
        });
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
    describe: (event) => `supply ${plain(event.voltage)} V${lasting(event.hold)}`,
    begin(event, stage, k) {
      const { inputs } = stage.plant;
      const { supply: before, supplyHeld } = inputs;
      inputs.supply = event.voltage;
      inputs.supplyHeld = true;
      const turn = ++stage.turns.supply;
      if (event.hold === null) return;
      stage.at(k + stage.steps(event.hold), () => {
        if (stage.turns.supply !== turn) return;
        inputs.supply = before;
        inputs.supplyHeld = supplyHeld;
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
      const turn = ++stage.turns.starter;
      stage.at(k + stage.steps(event.hold), () => {
        if (stage.turns.starter === turn) stage.plant.inputs.starter = false;
      });
    },
  },
  mark: { describe: () => 'mark', begin: () => undefined },
};

const lasting = (hold: number | null): string => (hold === null ? '' : ` for ${plain(hold)} s`);

function unknownMachine(plant: Plant, name: string): string {
  const known = (plant.accessories?.machines ?? []).map((machine) => machine.name);
  return `${name} is none of engine.machines${known.length === 0 ? ', which has none' : `: ${known.join(', ')}`}`;
}

/** What this plant cannot feel is no event. */
export function refuse(event: DrillEvent, path: string, plant: Plant): void {
  const { machines = [], alternator = false, unaskedMost = Number.POSITIVE_INFINITY } = plant.accessories ?? {};
  if (event.do === 'machine' && !machines.some((machine) => machine.name === event.name)) {
    throw new RangeError(`${path}.name: ${unknownMachine(plant, event.name)}`);
  }
  if (event.do === 'electrical' && !alternator) {
    throw new RangeError(`${path}.do: electrical needs an alternator (engine.alternator.fitted: yes); without one a load of a power at the crank stands for it`);
  }
  if (event.do === 'air' && event.flow > unaskedMost) {
    throw new RangeError(`${path}.flow: ${plain(1e3 * event.flow)} g/s is more than run.step can follow on this manifold; at most ${Math.floor(1e3 * unaskedMost)} g/s`);
  }
}
