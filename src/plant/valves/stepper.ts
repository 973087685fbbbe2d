/**
 * Stepper valve: whole steps, 0 … N, a limited rate, optional backlash and lost steps.
 *
 * The motor makes at most one step each 1/rate; its phase runs on while it moves, so a rate that does not divide the
 * integration step is kept on average. Common practice, no source, for the figures.
 *
 * It keeps its place without current, so a run that starts with the engine off finds it where it was left. Homing drives it
 * shut by its full range and more, then believes that it is at 0, and follows commands: steps lost before are found again.
 */
import { flag, own } from '../../parameter/table.js';
import { defineValve, flowRows } from './valve.js';

export const stepperValve = defineValve({
  parameters: {
    steps: own({ unit: 'step', default: 200, min: 10, max: 2000, integer: true, meaning: 'steps of the full travel', source: 'common practice, no source (200 to 250)' }),
    rate: own({ unit: 'step/s', default: 160, min: 5, max: 2000, meaning: 'fastest stepping', source: 'common practice, no source (100 to 250)' }),
    backlash: own({ unit: 'step', default: 0, min: 0, max: 50, meaning: 'steps of the motor that the pintle does not follow on reversing', source: 'assumed: none' }),
    lost: own({ unit: 'step', default: 0, min: -100, max: 100, integer: true, meaning: 'steps the controller believes in that the motor never made; more is more shut', source: 'assumed: none' }),
    parked: own({ unit: 'step', default: null, min: 0, max: 2000, integer: true, meaning: 'where a run that starts with the engine off finds it, true steps open; where the command puts it when not given' }),
    homing: flag({ default: false, meaning: 'at such a start it first drives shut by its full range and the overtravel, at its rate; without it steps lost stay lost' }),
    overtravel: own({ unit: 'step', default: 20, min: 0, max: 500, integer: true, meaning: 'steps that homing drives beyond the full range', source: 'assumed' }),
    ...flowRows,
  },
  create(settings, step) {
    const { steps, rate, backlash, lost, parked, homing, overtravel } = settings;
    if (parked !== null && parked > steps) throw new RangeError('valve.parked: must not lie above valve.steps');
    const perStep = rate * step;
    const track = new Float64Array(3);
    // motor: whole steps believed; phase: fraction of the next; pintle: where the far side of the backlash is;
    // home: steps that homing still has to drive shut
    const motion = { motor: 0, phase: 0, pintle: 0, lost, home: 0 };
    const opening = (pintle: number): number => clamp01((pintle - motion.lost) / steps);

    /** Homing through a step; what is believed of the motor is its true place meanwhile, and the stop holds it at 0. */
    const goHome = (): void => {
      while (motion.phase >= 1 && motion.home > 0) {
        motion.home -= 1;
        motion.phase -= 1;
        if (motion.motor > 0) motion.motor -= 1;
      }
      if (motion.motor < motion.pintle) motion.pintle = motion.motor;
    };
    return {
      range: { unit: 'step', full: steps },
      track,
      commandFor: (at) => {
        const command = (at * steps + motion.lost) / steps;
        return at > 1 ? Math.max(command, at) : at < 0 ? Math.min(command, at) : command;
      },
      rest(command, _supply, keyOn = false) {
        motion.home = keyOn && homing ? steps + overtravel : 0;
        motion.lost = motion.home > 0 ? 0 : lost;
        const commanded = Math.round(clamp01(command) * steps);
        motion.motor = keyOn && parked !== null ? parked + motion.lost : commanded;
        if (motion.home > 0 && parked === null) motion.motor = Math.min(steps, Math.max(0, commanded - lost));
        motion.phase = 1;
        motion.pintle = motion.motor;
        track.fill(opening(motion.pintle));
      },
      move(inputs) {
        const wanted = Math.round(clamp01(inputs.air) * steps);
        track[0] = track[2]!;
        motion.phase += perStep;
        if (motion.home > 0) goHome();
        else if (motion.motor !== wanted) {
          const direction = wanted > motion.motor ? 1 : -1;
          while (motion.phase >= 1 && motion.motor !== wanted) {
            motion.motor += direction;
            motion.phase -= 1;
          }
          if (motion.motor > motion.pintle + backlash) motion.pintle = motion.motor - backlash;
          if (motion.motor < motion.pintle) motion.pintle = motion.motor;
        }
        if (motion.home === 0 && motion.motor === wanted && motion.phase > 1) motion.phase = 1;
        const now = opening(motion.pintle);
        track[1] = 0.5 * (track[0]! + now);
        track[2] = now;
      },
    };
  },
});

const clamp01 = (x: number): number => (x < 0 ? 0 : x > 1 ? 1 : x);
