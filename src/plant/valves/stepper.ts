/**
 * Stepper valve: whole steps, 0 … N, a limited rate, optional backlash and lost steps.
 *
 * The motor makes at most one step each 1/rate; its phase runs on while it moves, so a rate that does not divide the
 * integration step is kept on average. Common practice, no source, for the figures.
 */
import { own } from '../../parameter/table.js';
import { defineValve, flowRows } from './valve.js';

export const stepperValve = defineValve({
  parameters: {
    steps: own({ unit: 'step', default: 200, min: 10, max: 2000, integer: true, meaning: 'steps of the full travel', source: 'common practice, no source (200 to 250)' }),
    rate: own({ unit: 'step/s', default: 160, min: 5, max: 2000, meaning: 'fastest stepping', source: 'common practice, no source (100 to 250)' }),
    backlash: own({ unit: 'step', default: 0, min: 0, max: 50, meaning: 'steps of the motor that the pintle does not follow on reversing', source: 'assumed: none' }),
    lost: own({ unit: 'step', default: 0, min: -100, max: 100, integer: true, meaning: 'steps the controller believes in that the motor never made; more is more shut', source: 'assumed: none' }),
    ...flowRows,
  },
  create(settings, step) {
    const { steps, rate, backlash, lost } = settings;
    const perStep = rate * step;
    const track = new Float64Array(3);
    // motor: whole steps believed; phase: fraction of the next; pintle: where the far side of the backlash is
    const motion = { motor: 0, phase: 0, pintle: 0 };
    const opening = (pintle: number): number => clamp01((pintle - lost) / steps);
    return {
      range: { unit: 'step', full: steps },
      track,
      commandFor: (at) => {
        const command = (at * steps + lost) / steps;
        return at > 1 ? Math.max(command, at) : at < 0 ? Math.min(command, at) : command;
      },
      rest(command) {
        motion.motor = Math.round(clamp01(command) * steps);
        motion.phase = 1;
        motion.pintle = motion.motor;
        track.fill(opening(motion.pintle));
      },
      move(inputs) {
        const wanted = Math.round(clamp01(inputs.air) * steps);
        track[0] = track[2]!;
        motion.phase += perStep;
        if (motion.motor !== wanted) {
          const direction = wanted > motion.motor ? 1 : -1;
          while (motion.phase >= 1 && motion.motor !== wanted) {
            motion.motor += direction;
            motion.phase -= 1;
          }
          if (motion.motor > motion.pintle + backlash) motion.pintle = motion.motor - backlash;
          if (motion.motor < motion.pintle) motion.pintle = motion.motor;
        }
        if (motion.motor === wanted && motion.phase > 1) motion.phase = 1;
        const now = opening(motion.pintle);
        track[1] = 0.5 * (track[0]! + now);
        track[2] = now;
      },
    };
  },
});

const clamp01 = (x: number): number => (x < 0 ? 0 : x > 1 ? 1 : x);
