/**
 * Overrun fuel cut: no fuel while the car or its own momentum turns the engine and the throttle is shut.
 *
 *     running, plate shut, ω > out speed, all for the delay   →  cut
 *     ω < resume speed, or the plate opens                    →  fuel again, over the re-fill time from 0 to all of it
 *
 * `share` is the share of the charge now drawn in that gets fuel: the cylinders come back one after the other. What gets
 * none burns none; the torque goes and comes a crank angle later, like every charge. Common practice, no source.
 */
import { own, si, type Values, variant } from '../parameter/table.js';

export const fuelCutTable = variant({
  tag: 'is',
  options: {
    off: {},
    on: {
      outSpeed: si({ unit: 'rpm', default: 1800, min: 500, max: 6000, meaning: 'crank speed above which fuel goes', source: 'common practice, no source' }),
      resumeSpeed: si({ unit: 'rpm', default: 1300, min: 400, max: 5000, meaning: 'crank speed below which it returns; below `outSpeed`', source: 'common practice, no source' }),
      delay: si({ unit: 's', default: 0.5, min: 0, max: 10, meaning: 'time for which the throttle must have been shut and the speed above', source: 'common practice, no source' }),
      refill: si({ unit: 's', default: 0.2, min: 0, max: 5, meaning: 'time over which the torque comes back', source: 'assumed' }),
      shut: own({ as: 'shutPct', unit: '%', default: 1, min: 0, max: 20, meaning: 'travel of the plate at and below which it counts as shut', source: 'assumed' }),
    },
  },
  default: 'off',
  meaning: 'fuel cut on the overrun',
});
export type FuelCutSettings = Values<{ row: typeof fuelCutTable }>['row'];

export interface FuelCut {
  /** Share of the charge that gets fuel, 0 … 1. */
  share: number;
  cut: boolean;
  /** Steps for which the conditions have held. */
  waited: number;
}

export const createFuelCut = (): FuelCut => ({ share: 1, cut: false, waited: 0 });

/** Moves by a step. @param plate travel of the throttle, 0 … 1 */
export function moveFuelCut(settings: FuelCutSettings, cut: FuelCut, running: boolean, omega: number, plate: number, step: number): void {
  if (settings.is === 'off') return;
  const shut = running && plate <= settings.shutPct / 100;
  if (cut.cut) {
    if (!shut || omega < settings.resumeSpeed) {
      cut.cut = false;
      cut.waited = 0;
    }
  } else if (shut && omega > settings.outSpeed) {
    if (cut.waited * step >= settings.delay) cut.cut = true;
    else cut.waited += 1;
  } else {
    cut.waited = 0;
  }
  if (cut.cut) cut.share = 0;
  else if (cut.share < 1) {
    const more = settings.refill > 0 ? cut.share + step / settings.refill : 1;
    cut.share = more < 1 ? more : 1;
  }
}
