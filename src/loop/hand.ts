/**
 * What brings events to the plant and the controller, step by step: asked for at once by a hand at the bench, or beforehand by a
 * drill. The engine under it may be taken out for another.
 */
import type { Controller } from '../controller/types.js';
import { OMEGA, type Plant } from '../plant/types.js';
import { EVENTS, type Kind } from './events.js';
import { moveLoads } from './loads.js';
import type { DrillEvent } from './parameters.js';
import type { Stage } from './stage.js';
import type { TraceEvent } from './trace.js';

export interface Hand {
  /** One a load of the controller: whether it is asked for. */
  readonly requests: boolean[];
  /** What was done so far. */
  readonly events: readonly TraceEvent[];
  /** Does something at step k, after what was asked for that step before. */
  at(k: number, action: (k: number) => void): void;
  /** Does an event at step k, which the engine can feel (`refuse` of events.ts). */
  press(event: DrillEvent, k: number): void;
  /** Brings everything to step k. @param loadsOn what the controller has let through */
  apply(k: number, loadsOn: readonly boolean[]): void;
}

/**
 * @param engine the engine of the moment
 * @param loadNames names of the controller's loads, in order; a load event of one of these names goes through it
 */
export function createHand(engine: () => Plant, controller: Controller, loadNames: readonly string[]): Hand {
  const { step } = engine();
  const requests = loadNames.map(() => false);
  const events: TraceEvent[] = [];
  const later: { k: number; action: (k: number) => void }[] = [];
  let moving = false;
  const at = (k: number, action: (k: number) => void): void => {
    let place = later.length;
    while (place > 0 && later[place - 1]!.k > k) place -= 1;
    later.splice(place, 0, { k, action });
  };
  const stage: Stage = {
    get plant() {
      return engine();
    },
    controller, requests, loadNames, at,
    steps: (seconds) => Math.round(seconds / step),
    loads: [],
    airs: new Map(),
    ramps: { clutchFrom: 0, clutchTo: engine().inputs.clutch, clutchSince: 0, clutchSteps: 0 },
    pedal: { until: Number.POSITIVE_INFINITY },
    turns: { supply: 0, starter: 0 },
  };
  const moveClutch = (inputs: Plant['inputs'], k: number): boolean => {
    const { clutchFrom, clutchTo, clutchSince, clutchSteps } = stage.ramps;
    const share = k - clutchSince >= clutchSteps ? 1 : (k - clutchSince) / clutchSteps;
    inputs.clutch = clutchFrom + share * (clutchTo - clutchFrom);
    return share < 1;
  };
  return {
    requests,
    events,
    at,
    press(event, k) {
      const kind = EVENTS[event.do] as Kind<DrillEvent['do']>;
      const place = events.length;
      events.push({ atS: k * step, engagedS: k * step, name: event.name === '' ? event.do : event.name, what: kind.describe(event) });
      kind.begin(event, stage, k, (engaged) => {
        events[place] = { ...events[place]!, engagedS: engaged * step };
      });
      moving = true;
    },
    apply(k, loadsOn) {
      const { inputs, state } = engine();
      while (later.length > 0 && later[0]!.k <= k) {
        later.shift()!.action(k);
        moving = true;
      }
      if (moving) {
        const loadsMoving = moveLoads(stage.loads, loadsOn, inputs, k);
        moving = moveClutch(inputs, k) || loadsMoving;
      }
      if (state[OMEGA]! >= stage.pedal.until) {
        inputs.pedal = 0;
        stage.pedal.until = Number.POSITIVE_INFINITY;
      }
    },
  };
}
