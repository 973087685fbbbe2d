/**
 * The cheapest next experiment: each candidate is run on the fitted engine, and what it would add to what is known is worked
 * out before anybody starts the car.
 *
 *     C_new = (C⁻¹ + JᵀJ)⁻¹        J: the candidate's predictions against the parameters, over their expected errors
 *
 * D. R. Cox and D. V. Hinkley, Theoretical Statistics, 1974 (information adds); the candidate that takes most off the loosest
 * parameter a second of engine time is named (V. V. Fedorov, Theory of Optimal Experiments, 1972, for the idea).
 */
import { inverse, Matrix } from 'ml-matrix';
import { equilibriumAir } from './steady.js';
import type { EngineFit } from './fit-engine.js';
import { createModel } from './least-squares-model.js';
import { comparedOf, problemOf } from './problem.js';
import type { FitRecording, FitStretch } from './recording.js';

export interface Experiment {
  readonly what: string;
  readonly seconds: number;
  /** The parameter that it helps most, and its 95 % interval in percent of its value (± of it), before and after. */
  readonly key: string;
  readonly beforePct: number;
  readonly afterPct: number;
}

const RPM = Math.PI / 30;
const Z = 1.96;
const LEAD_S = 3;
const LEAST_GAIN = 0.1;

interface Candidate {
  readonly what: string;
  readonly seconds: number;
  shape(stretch: { air: Float64Array; spark: Float64Array; pedal: Float64Array; loads: readonly Float64Array[] }, from: number, rows: number): void;
}

function candidates(fit: EngineFit, period: number): readonly Candidate[] {
  const span = (seconds: number): number => Math.round(seconds / period);
  const add = (values: Float64Array, from: number, seconds: number, by: number): void => {
    for (let k = from; k < Math.min(values.length, from + span(seconds)); k++) values[k] = values[k]! + by;
  };
  const share = (n: number): string => `${n} %`;
  const steps = [0.04, -0.04].map((by): Candidate => ({ what: `hold the command, step the valve by ${share(Math.round(100 * by))} of its travel for 5 s`, seconds: 8, shape: (s, from) => add(s.air, from, 5, by) }));
  return [
    ...steps,
    { what: 'hold the command, open and shut the valve by 4 % of its travel each 0.5 s for 6 s', seconds: 8, shape: (s, from) => { for (let i = 0; i < 12; i++) add(s.air, from + span(0.5 * i), 0.5, i % 2 === 0 ? 0.04 : -0.04); } },
    { what: 'retard the spark by 8 degrees for 3 s', seconds: 6, shape: (s, from) => add(s.spark, from, 3, (-8 * Math.PI) / 180) },
    { what: 'blip once: throttle 6 % for 0.6 s, and let it fall', seconds: 8, shape: (s, from) => add(s.pedal, from, 0.6, 0.06) },
    { what: 'shut the valve for 0.6 s after a blip', seconds: 8, shape: (s, from) => { add(s.pedal, from, 0.8, 0.06); for (let k = from + span(0.8); k < from + span(1.6); k++) s.air[k] = 0; } },
    ...fit.used.loadNames.map((name, i): Candidate => ({ what: `switch ${name} on for 5 s`, seconds: 8, shape: (s, from) => add(s.loads[i]!, from, 5, 1) })),
  ];
}

/** The engine at rest at its idle, then the candidate; null where it would stall or run away. */
function recordingOf(fit: EngineFit, candidate: Candidate, idle: number, air: number): FitRecording {
  const { periodS } = fit.used;
  const first = fit.used.stretches[0]!;
  const [lead, rows] = [Math.round(LEAD_S / periodS), Math.round((LEAD_S + candidate.seconds) / periodS)];
  const flat = (value: number): Float64Array => new Float64Array(rows).fill(value);
  const put = { air: flat(air), spark: flat(first.spark[0]!), pedal: flat(0), loads: fit.used.loadNames.map(() => flat(0)) };
  candidate.shape(put, lead, rows);
  const stretch: FitStretch = {
    startS: 0, rows, speed: flat(idle), pressure: fit.used.has.pressure ? flat(40e3) : null, ...put,
    air: put.air.map((a) => Math.min(1, Math.max(0, a))), coolant: flat(first.coolant.at(-1)!), oil: flat(first.oil.at(-1)!), supply: flat(first.supply[0]!), vehicle: null,
  };
  return { ...fit.used, stretches: [stretch] };
}

/** @returns experiments worth making, best first; none where the valve's command was not logged or nothing is loose */
export function nextExperiments(fit: EngineFit): readonly Experiment[] {
  if (!fit.used.has.air) return [];
  const { knobs, least, noise, used } = fit;
  const { freeNames, covariance } = least;
  const loose = fit.told.flatMap((told) => {
    const i = knobs.findIndex((knob) => knob.key === told.key);
    const at = freeNames.indexOf(told.key);
    if (told.verdict === 'pinned' || told.verdict === 'held' || at < 0) return [];
    return [{ key: told.key, at, per: knobs[i]!.kind === 'scale' ? 1 : Math.abs(told.value) || knobs[i]!.sd }];
  });
  if (loose.length === 0) return [];
  const speeds = used.stretches.flatMap((s) => Array.from(s.speed)).sort((a, b) => a - b);
  const idle = speeds[Math.floor(speeds.length / 3)]!;
  const first = used.stretches[0]!;
  const air = equilibriumAir(fit.fitted, idle, first.spark[0]!, first.coolant.at(-1)!, first.oil.at(-1)!);
  if (!(air > 0.02 && air < 0.95)) return [];
  const known = inverse(covariance);
  return candidates(fit, used.periodS)
    .flatMap((candidate): (Experiment & { readonly worth: number })[] => {
      const recording = recordingOf(fit, candidate, idle, air);
      const { problem } = problemOf({
        recording, compared: comparedOf(recording, LEAD_S / 2), base: fit.base, knobs, held: new Set(), anchors: fit.anchors, noise, timing: null, widest: 0.1, method: 'free run', start: least.values,
      });
      const bare = { ...problem, parameters: problem.parameters.map(({ prior: _prior, ...p }) => ({ ...p, fixed: !freeNames.includes(p.name) })) };
      const model = createModel(bare, 'forward');
      const at = new Float64Array(model.rows);
      if (!model.residuals(least.values, at)) return [];
      const J = model.jacobian(least.values, at);
      if (typeof J === 'string') return [];
      // an experiment that leaves the fitted idle behind is not proposed: below 500 rpm it may stall, above 4000 nobody wants it
      const n = comparedOf(recording, LEAD_S / 2).rows.length;
      const lowest = problem.weights!.subarray(0, n).reduce((low, w, j) => Math.min(low, idle + at[j]! / w), Infinity);
      if (lowest < 500 * RPM) return [];
      const order = model.free.map((i) => freeNames.indexOf(problem.parameters[i]!.name));
      const add = Matrix.zeros(freeNames.length, freeNames.length);
      const gram = J.transpose().mmul(J);
      order.forEach((to, r) => order.forEach((from, c) => add.set(to, from, gram.get(r, c))));
      const after = inverse(Matrix.add(known, add));
      const gains = loose.map(({ key, at: a, per }) => {
        const pct = (m: Matrix): number => (100 * Z * Math.sqrt(Math.max(0, m.get(a, a)))) / per;
        return { key, beforePct: pct(covariance), afterPct: pct(after) };
      });
      const best = gains.reduce((a, b) => (b.beforePct - b.afterPct > a.beforePct - a.afterPct ? b : a));
      if (best.afterPct > (1 - LEAST_GAIN) * best.beforePct) return [];
      return [{ what: candidate.what, seconds: candidate.seconds, ...best, worth: Math.log(best.beforePct / best.afterPct) / candidate.seconds }];
    })
    .sort((a, b) => b.worth - a.worth)
    .map(({ worth: _worth, ...rest }) => rest);
}
