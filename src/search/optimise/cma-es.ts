/**
 * CMA-ES with restarts, by ask and tell: the global half of a search.
 *
 * Each generation draws points from a normal law, ranks them by cost, and moves and reshapes the law towards the better
 * half; only the ranking counts. N. Hansen, The CMA Evolution Strategy: A Tutorial, arXiv 1604.00772 (2016): equations by
 * their numbers there, weights of the worse half nil. When a run has come to rest, the next starts elsewhere with twice the
 * population (IPOP): A. Auger and N. Hansen, A restart CMA evolution strategy with increasing population size, CEC 2005.
 *
 * The law lives in unbounded space; points are reflected into the box, which its mirror images tile, so that no bound
 * distorts it and a best point on a face is found as well as another.
 *
 * The state is plain data that JSON keeps, and a generation draws from a stream of its own: a search taken up again from
 * a stored state goes on as if it had never stopped.
 */
import { log } from '../../numerics/elementary.js';
import { streamOf } from '../sampling/stream.js';
import { type Best, type Box, checkBox, comparable, fromBox, intoBox, mirrored, NO_COST } from './box.js';
import { adapt, createLaw, type Drawn, type Law } from './cma-law.js';
import { restReason } from './cma-rest.js';
import { fillNormal } from './normal.js';

export interface CmaSettings extends Box {
  readonly seed: number;
  /** Where the first run begins; the middle of the box when not given. Later ones begin anywhere. */
  readonly start?: readonly number[];
  /** Spread at the start of a run, as a share of each side: 0.3 (Hansen 2016, B.1) when not given. */
  readonly spread?: number;
  /** Points a generation of the first run; 4 + ⌊3 ln n⌋ when not given. */
  readonly population?: number;
  /** No generation is begun once so many costs were told; no bound when not given. */
  readonly mostCosts?: number;
  /** Runs after the first, 9 when not given. */
  readonly mostRestarts?: number;
  /** Ends the search once a cost is at or below this. */
  readonly target?: number;
  /** Spread of costs, and of points as a share of the box, below which a run has come to rest: 1e-12 when not given. */
  readonly costTolerance?: number;
  readonly placeTolerance?: number;
}

export interface CmaState {
  readonly settings: CmaSettings;
  /** Generations so far: the number of the stream that the next one draws from. */
  generation: number;
  /** Costs told. */
  costs: number;
  restarts: number;
  /** Points a generation of this run. */
  population: number;
  law: Law;
  /** Least and middle cost of each generation of this run. */
  least: number[];
  middle: number[];
  /** Generations of this run, one after the other, without one finite cost. */
  lost: number;
  best: Best | null;
  /** Why each run so far ended. */
  ended: string[];
  /** Why the search is over, or null. */
  finished: string | null;
}

/** Generations without a finite cost after which a run is given up. */
const MOST_LOST = 10;

/**
 * A search that has asked for nothing yet.
 *
 * @throws RangeError if the box is empty, or the start, spread or population makes no sense
 */
export function createCmaEs(settings: CmaSettings): CmaState {
  checkBox(settings);
  const n = settings.lower.length;
  const { spread = 0.3, population = 4 + Math.floor(3 * log(n)) } = settings;
  if (!(spread > 0 && Number.isFinite(spread))) throw new RangeError(`spread: ${spread}; a share of the box above 0 is wanted`);
  if (!(Number.isInteger(population) && population >= 4)) throw new RangeError(`population: ${population}; a whole number from 4 is wanted`);
  const start = settings.start === undefined ? new Array<number>(n).fill(0.5) : fromBox(settings, settings.start);
  const law = createLaw(start, spread);
  return { settings, generation: 0, costs: 0, restarts: 0, population, law, least: [], middle: [], lost: 0, best: null, ended: [], finished: null };
}

/** What was drawn last for a state: it follows from the state, and is kept from ask to tell to spare the work alone. */
const known = new WeakMap<CmaState, Drawn & { readonly generation: number }>();

/** What the next generation draws. */
function drawn(state: CmaState): Drawn {
  const { settings, generation, population, law } = state;
  const last = known.get(state);
  if (last?.generation === generation) return last;
  const { n, lengths } = law;
  const z = new Float64Array(population * n);
  fillNormal(streamOf(settings.seed, generation), z);
  const shape = Float64Array.from(law.axes, (axis, i) => axis * (lengths[i % n] as number));
  const step = new Float64Array(population * n);
  for (let p = 0; p < step.length; p += n) {
    for (let i = 0; i < n; i++) {
      let sum = 0;
      for (let k = 0; k < n; k++) sum += (shape[i * n + k] as number) * (z[p + k] as number);
      step[p + i] = sum;
    }
  }
  const points = { generation, z, step };
  known.set(state, points);
  return points;
}

/** A point in the box. */
const placed = ({ settings, law: { n, mean, spread } }: CmaState, { step }: Drawn, point: number): number[] =>
  intoBox(settings, mean.map((m, i) => mirrored(m + spread * (step[point * n + i] as number))));

/** Points whose costs are wanted next, each in the box; the same ones until they are told. None once finished. */
export const askCmaEs = (state: CmaState): number[][] => 
  state.finished !== null ? [] : Array.from({ length: state.population }, (_, point) => placed(state, drawn(state), point));

/**
 * Takes the costs of the points asked for, in their order. NaN and ±Infinity are no costs: such points come last. Equal
 * costs keep their order.
 *
 * @throws RangeError if there are not as many costs as points
 */
export function tellCmaEs(state: CmaState, costs: readonly number[]): void {
  const { settings, population } = state;
  if (state.finished !== null) throw new RangeError(`the search is over: ${state.finished}`);
  if (costs.length !== population) throw new RangeError(`${costs.length} costs for ${population} points`);
  const points = drawn(state);
  const given = costs.map(comparable);
  const order = given.map((_, i) => i).sort((a, b) => (given[a] as number) - (given[b] as number)); // the sort is stable
  const first = order[0] as number;
  const least = given[first] as number;
  if (least < (state.best?.cost ?? NO_COST)) {
    state.best = { point: placed(state, points, first), cost: least };
  }
  state.generation++;
  state.costs += population;
  if (least === NO_COST) state.lost++;
  else {
    state.lost = 0;
    state.least.push(least);
    state.middle.push(given[order[population >> 1] as number] as number);
    adapt(state.law, points, order);
  }
  const rest = state.lost >= MOST_LOST ? 'no finite cost' : least === NO_COST ? null : restReason(state, given);
  if (state.best !== null && settings.target !== undefined && state.best.cost <= settings.target) state.finished = 'target reached';
  else if (settings.mostCosts !== undefined && state.costs >= settings.mostCosts) state.finished = 'all costs spent';
  else if (rest !== null) restart(state, rest);
}

function restart(state: CmaState, reason: string): void {
  const { settings } = state;
  state.ended.push(reason);
  if (state.restarts >= (settings.mostRestarts ?? 9)) {
    state.finished = `${state.restarts + 1} runs have ended, the last by ${reason}`;
    return;
  }
  const random = streamOf(settings.seed, state.generation);
  const start = settings.lower.map(() => random.uniform());
  state.generation++; // the next one draws from a stream of its own
  state.restarts++;
  state.population *= 2;
  state.law = createLaw(start, settings.spread ?? 0.3);
  state.least = [];
  state.middle = [];
  state.lost = 0;
}
