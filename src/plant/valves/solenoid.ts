/**
 * Pulse-width solenoid: duty to opening through a table with dead ends, supply-voltage sensitivity, hysteresis, and a
 * first-order lag.
 *
 *     effective duty = duty·(1 + s·(V/V₀ − 1))        wanted = table(effective duty) with play of half the hysteresis
 *     d(opening)/dt = (wanted − opening)/τ            solved exactly over each step, since `wanted` is constant there
 *
 * Common practice, no source, for the figures.
 */
import { packCurve, readPacked } from '../../numerics/curve.js';
import { exp } from '../../numerics/elementary.js';
import { curve, own, si } from '../../parameter/table.js';
import { checkRising, fraction, whereRising } from '../curves.js';
import { defineValve, flowRows } from './valve.js';

export const solenoidValve = defineValve({
  parameters: {
    opening: curve({
      x: { name: 'duty', unit: '%', min: 0, max: 100 },
      y: { name: 'opening', unit: '%', min: 0, max: 100 },
      default: [[0, 0], [8, 0], [92, 100], [100, 100]],
      stored: 'unit',
      meaning: 'travel against duty, dead ends included; must not fall',
      source: 'common practice, no source',
    }),
    lag: si({ unit: 's', default: 0.045, min: 0, max: 2, meaning: 'first-order lag of the travel', source: 'common practice, no source (20 to 80 ms)' }),
    hysteresis: own({ unit: '%', default: 0, min: 0, max: 30, meaning: 'width of the play between rising and falling, of the travel', source: 'assumed: none' }),
    supplySensitivity: own({ unit: '1', default: 0.6, min: 0, max: 2, meaning: 'share of a relative change of the supply that the duty feels', source: 'assumed' }),
    supplyNominal: si({ unit: 'V', default: 14, min: 8, max: 18, meaning: 'supply voltage at which the table holds', source: 'common practice, no source' }),
    ...flowRows,
  },
  create(settings, step) {
    const { lag, supplySensitivity, supplyNominal } = settings;
    const table = checkRising(fraction(settings.opening), 'valve.opening');
    const [least, most] = [table.y[0]!, table.y.at(-1)!];
    const packed = packCurve(table);
    const half = settings.hysteresis / 200;
    const keepHalf = lag > 0 ? exp(-step / (2 * lag)) : 0;
    const track = new Float64Array(3);
    // at: where the middle of the play is; wanted: where the duty alone would put it
    const play = { at: 0.5, wanted: 0.5 };
    const gain = (supply: number): number => 1 + supplySensitivity * (supply / supplyNominal - 1);
    return {
      range: { unit: '%', full: 100 },
      track,
      commandFor: (opening, supply) => {
        const command = whereRising(table, opening) / gain(supply);
        // what it cannot open to lies beyond the range, dead ends or not, so that a solver sees how far authority is missed
        if (opening > most) return Math.max(1, command) + opening - most;
        return opening < least ? Math.min(0, command) + opening - least : command;
      },
      rest(command, supply) {
        play.at = readPacked(packed, command * gain(supply));
        track.fill(play.at);
      },
      move(inputs) {
        play.wanted = readPacked(packed, inputs.air * gain(inputs.supply));
        if (play.wanted > play.at + half) play.at = play.wanted - half;
        else if (play.wanted < play.at - half) play.at = play.wanted + half;
        const start = track[2]!;
        track[0] = lag > 0 ? start : play.at; // without a lag it is there at once
        track[1] = play.at + (start - play.at) * keepHalf;
        track[2] = play.at + (track[1]! - play.at) * keepHalf;
      },
    };
  },
});
