/**
 * A drill at work: timed events turned into what the plant and the controller feel, on whole steps.
 *
 * A new kind of event is an entry in `eventTable` and one in `EVENTS` (events.ts).
 */
import type { Controller } from '../controller/types.js';
import { OMEGA, type Plant } from '../plant/types.js';
import { EVENTS, type Kind, refuse } from './events.js';
import { moveLoads } from './loads.js';
import type { DrillEvent, DrillSettings } from './parameters.js';
import type { Stage } from './stage.js';
import type { TraceEvent } from './trace.js';

export interface Drill {
  /** One a load of the controller: whether it is asked for. */
  readonly requests: boolean[];
  readonly events: readonly TraceEvent[];
  /** Brings everything to step k. @param loadsOn what the controller has let through */
  apply(k: number, loadsOn: readonly boolean[]): void;
}

/**
 * @throws RangeError when an event needs what the plant does not have
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
    airs: new Map(),
    ramps: { clutchFrom: 0, clutchTo: plant.inputs.clutch, clutchSince: 0, clutchSteps: 0 },
    pedal: { until: Number.POSITIVE_INFINITY },
    turns: { supply: 0, starter: 0 },
  };
  for (const [i, event] of settings.events.entries()) {
    refuse(event, `drill.events.${i}`, plant);
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
