/**
 * The driver's hand at the bench: events that come when a button is pressed, not when a schedule says. Each acts as the event
 * of that kind does in a drill (loop/events.ts); the engine under it may be taken out for another.
 */
import { EVENTS, type Kind, refuse } from '../loop/events.js';
import { moveLoads } from '../loop/loads.js';
import type { DrillEvent } from '../loop/parameters.js';
import type { Stage } from '../loop/stage.js';
import type { TraceEvent } from '../loop/trace.js';
import type { Controller } from '../controller/types.js';
import { OMEGA, type Plant } from '../plant/types.js';

export interface Hand {
  /** One a load of the controller: whether it is asked for. */
  readonly requests: readonly boolean[];
  readonly events: readonly TraceEvent[];
  /** Does an event at step k. @throws RangeError when the engine cannot feel it */
  press(event: DrillEvent, k: number): void;
  /** Brings everything to step k, as a drill does. */
  apply(k: number, loadsOn: readonly boolean[]): void;
}

/** @param engine the engine of the moment */
export function createHand(engine: () => Plant, controller: Controller, loadNames: readonly string[]): Hand {
  const requests = loadNames.map(() => false);
  const events: TraceEvent[] = [];
  const later: { k: number; action: (k: number) => void }[] = [];
  const { step } = engine();
  const stage: Stage = {
    get plant() {
      return engine();
    },
    controller, requests, loadNames,
    steps: (seconds) => Math.round(seconds / step),
    at(k, action) {
      let place = later.length;
      while (place > 0 && later[place - 1]!.k > k) place -= 1;
      later.splice(place, 0, { k, action });
    },
    loads: [],
    airs: new Map(),
    ramps: { clutchFrom: 0, clutchTo: engine().inputs.clutch, clutchSince: 0, clutchSteps: 0 },
    pedal: { until: Number.POSITIVE_INFINITY },
    turns: { supply: 0, starter: 0 },
  };
  return {
    requests,
    events,
    press(event, k) {
      refuse(event, 'bench', engine());
      const kind = EVENTS[event.do] as Kind<DrillEvent['do']>;
      const place = events.length;
      events.push({ atS: k * step, engagedS: k * step, name: event.name === '' ? event.do : event.name, what: kind.describe(event) });
      kind.begin(event, stage, k, (engaged) => {
        events[place] = { ...events[place]!, engagedS: engaged * step };
      });
    },
    apply(k, loadsOn) {
      while (later.length > 0 && later[0]!.k <= k) later.shift()!.action(k);
      const { inputs, state } = engine();
      moveLoads(stage.loads, loadsOn, inputs, k);
      const { clutchFrom, clutchTo, clutchSince, clutchSteps } = stage.ramps;
      const share = k - clutchSince >= clutchSteps ? 1 : (k - clutchSince) / clutchSteps;
      inputs.clutch = clutchFrom + share * (clutchTo - clutchFrom);
      if (state[OMEGA]! >= stage.pedal.until) {
        inputs.pedal = 0;
        stage.pedal.until = Number.POSITIVE_INFINITY;
      }
    },
  };
}
