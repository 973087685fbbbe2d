/**
 * A drill at work: timed events turned into what the plant and the controller feel, on whole steps.
 *
 * A new kind of event is an entry in `eventTable` and one in `EVENTS` (events.ts).
 */
import type { Controller } from '../controller/types.js';
import type { Plant } from '../plant/types.js';
import { refuse } from './events.js';
import { createHand, type Hand } from './hand.js';
import type { DrillSettings } from './parameters.js';

export type Drill = Pick<Hand, 'requests' | 'events' | 'apply'>;

/**
 * @throws RangeError when an event needs what the plant does not have
 * @param loadNames names of the controller's loads, in order; a load event of one of these names goes through it
 */
export function createDrill(settings: DrillSettings, plant: Plant, controller: Controller, loadNames: readonly string[]): Drill {
  const hand = createHand(() => plant, controller, loadNames);
  for (const [i, event] of settings.events.entries()) {
    refuse(event, `drill.events.${i}`, plant);
    hand.at(Math.round(event.at / plant.step), (k) => hand.press(event, k));
  }
  return hand;
}
