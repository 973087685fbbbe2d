/**
 * The simplex search of Nelder and Mead, by ask and tell: the local half of a search.
 *
 * J. A. Nelder and R. Mead, A simplex method for function minimization, The Computer Journal 7 (1965) 308–313; ties as in
 * J. C. Lagarias et al., SIAM Journal on Optimization 9 (1998) 112–147; factors that grow with the number of variables from
 * F. Gao and L. Han, Implementing the Nelder–Mead simplex algorithm with adaptive parameters, Computational Optimization and
 * Applications 51 (2012) 259–277. Points beyond the box are put on its face, and a simplex that has come to rest, flat on a face maybe,
 * is followed by a fresh one about its best point until that brings nothing more (M. A. Luersen and R. Le Riche, Globalized
 * Nelder–Mead method for engineering optimization, Computers and Structures 82 (2004) 2251–2260).
 *
 * The state is plain data that JSON keeps.
 */
import { type Best, type Box, checkBox, comparable, fromBox, intoBox, NO_COST } from './box.js';

export interface NelderMeadSettings extends Box {
  readonly start: readonly number[];
  /** Length of a simplex's edges at its start, as a share of each side: 0.05 when not given. */
  readonly edge?: number;
  /** Nothing more is asked once so many costs were told; no bound when not given. */
  readonly mostCosts?: number;
  /** Simplices after the first, 9 when not given. */
  readonly mostRestarts?: number;
  /** A simplex is at rest when its points lie this close, as a share of the box, and its costs too: 1e-10 and 1e-12. */
  readonly placeTolerance?: number;
  readonly costTolerance?: number;
}

interface Corner {
  readonly place: readonly number[];
  readonly cost: number;
}

export interface NelderMeadState {
  readonly settings: NelderMeadSettings;
  /** What the costs asked for are of. */
  step: 'first' | 'reflect' | 'expand' | 'contract' | 'shrink';
  /** Places in the unit cube that are asked for. */
  asked: (readonly number[])[];
  /** Best first; empty while its first costs are asked for. */
  simplex: Corner[];
  /** The reflected corner while an expansion or a contraction is out. */
  reflected: Corner | null;
  costs: number;
  restarts: number;
  /** Best cost at the start of this simplex; null for the first. */
  since: number | null;
  best: Best | null;
  finished: string | null;
}

const clipped = (place: readonly number[]): number[] => place.map((u) => Math.min(1, Math.max(0, u)));

/** A corner and one more along each side, inwards where outwards would leave the box; `sign` the way they go by choice. */
function aroundOf(place: readonly number[], edge: number, sign: number): (readonly number[])[] {
  const along = place.map((u, i) => place.with(i, u + sign * edge > 1 || u + sign * edge < 0 ? u - sign * edge : u + sign * edge));
  return [place, ...along.map(clipped)];
}

/** @throws RangeError if the box is empty, the start is not in it, or the edge is not between 0 and 0.5 */
export function createNelderMead(settings: NelderMeadSettings): NelderMeadState {
  checkBox(settings);
  const { edge = 0.05 } = settings;
  if (!(edge > 0 && edge <= 0.5)) throw new RangeError(`edge: ${edge}; a share of the box above 0, at most 0.5, is wanted`);
  const asked = aroundOf(fromBox(settings, settings.start), edge, 1);
  return { settings, step: 'first', asked, simplex: [], reflected: null, costs: 0, restarts: 0, since: null, best: null, finished: null };
}

/** Points whose costs are wanted next, each in the box; the same ones until they are told. None once finished. */
export const askNelderMead = ({ settings, asked, finished }: NelderMeadState): number[][] =>
  finished !== null ? [] : asked.map((place) => intoBox(settings, place));

/**
 * Takes the costs of the points asked for, in their order. NaN and ±Infinity are no costs: worse than any other.
 *
 * @throws RangeError if there are not as many costs as points
 */
export function tellNelderMead(state: NelderMeadState, costs: readonly number[]): void {
  const { settings, asked, simplex } = state;
  if (state.finished !== null) throw new RangeError(`the search is over: ${state.finished}`);
  if (costs.length !== asked.length) throw new RangeError(`${costs.length} costs for ${asked.length} points`);
  const told = asked.map((place, i): Corner => ({ place, cost: comparable(costs[i] as number) }));
  for (const { place, cost } of told) if (cost < (state.best?.cost ?? NO_COST)) state.best = { point: intoBox(settings, place), cost };
  state.costs += told.length;

  if (state.step === 'first' || state.step === 'shrink') {
    state.simplex = sorted(state.step === 'first' ? told : [simplex[0] as Corner, ...told]);
    reflect(state);
  } else if (state.step === 'reflect') afterReflection(state, told[0] as Corner);
  else afterSecond(state, told[0] as Corner);
  if (settings.mostCosts !== undefined && state.costs >= settings.mostCosts) state.finished ??= 'all costs spent';
}

const sorted = (corners: readonly Corner[]): Corner[] =>
  corners.map((corner, i) => ({ corner, i })).sort((a, b) => (a.corner.cost === b.corner.cost ? a.i - b.i : a.corner.cost - b.corner.cost)).map(({ corner }) => corner);

/** From the worst corner through the middle of the others, by `factor` of the way beyond it. */
function through({ simplex }: NelderMeadState, factor: number): number[] {
  const worst = (simplex.at(-1) as Corner).place;
  const others = simplex.slice(0, -1);
  return clipped(worst.map((u, i) => {
    const middle = others.reduce((sum, { place }) => sum + (place[i] as number), 0) / others.length;
    return middle + factor * (middle - u);
  }));
}

/** Factors of expansion, contraction and shrinking (Gao and Han 2012, eq. 4.1); in one dimension those of two. */
const factors = (n: number): { readonly expand: number; readonly contract: number; readonly shrink: number } => {
  const sides = Math.max(2, n);
  return { expand: 1 + 2 / sides, contract: 0.75 - 1 / (2 * sides), shrink: 1 - 1 / sides };
};

function reflect(state: NelderMeadState): void {
  if (atRest(state)) {
    restart(state);
    return;
  }
  state.step = 'reflect';
  state.reflected = null;
  state.asked = [through(state, 1)];
}

function afterReflection(state: NelderMeadState, corner: Corner): void {
  const { simplex } = state;
  const { expand, contract } = factors(corner.place.length);
  const [best, second, worst] = [simplex[0] as Corner, simplex.at(-2) as Corner, simplex.at(-1) as Corner];
  if (corner.cost >= best.cost && corner.cost < second.cost) {
    accept(state, corner);
    return;
  }
  state.reflected = corner;
  state.step = corner.cost < best.cost ? 'expand' : 'contract';
  state.asked = [through(state, corner.cost < best.cost ? expand : corner.cost < worst.cost ? contract : -contract)];
}

function afterSecond(state: NelderMeadState, corner: Corner): void {
  const { simplex } = state;
  const reflected = state.reflected as Corner;
  const worst = simplex.at(-1) as Corner;
  if (state.step === 'expand') accept(state, corner.cost < reflected.cost ? corner : reflected);
  else if (reflected.cost < worst.cost ? corner.cost <= reflected.cost : corner.cost < worst.cost) accept(state, corner);
  else shrink(state);
}

/** Asks for all corners but the best one, drawn towards it. */
function shrink(state: NelderMeadState): void {
  const [best, ...others] = state.simplex as [Corner, ...Corner[]];
  const factor = factors(best.place.length).shrink;
  state.step = 'shrink';
  state.reflected = null;
  state.asked = others.map((other) => other.place.map((u, i) => (best.place[i] as number) + factor * (u - (best.place[i] as number))));
}

function accept(state: NelderMeadState, corner: Corner): void {
  state.simplex = sorted([...state.simplex.slice(0, -1), corner]);
  reflect(state);
}

/** Spread of costs that rounding alone may make, as a share of them. */
const ROUNDING = 1e-14;

function atRest({ simplex, settings }: NelderMeadState): boolean {
  const { placeTolerance = 1e-10, costTolerance = 1e-12 } = settings;
  const [best, worst] = [simplex[0] as Corner, simplex.at(-1) as Corner];
  const size = Math.max(...simplex.map(({ place }) => Math.max(...place.map((u, i) => Math.abs(u - (best.place[i] as number))))));
  if (size > placeTolerance) return false;
  // where the smallest step of all no longer moves it, it rests whatever its costs
  return size <= 1e-15 || best.cost === NO_COST || worst.cost - best.cost <= costTolerance + ROUNDING * Math.abs(best.cost);
}

function restart(state: NelderMeadState): void {
  const { settings, since, best } = state;
  const { edge = 0.05, costTolerance = 1e-12 } = settings;
  if (best === null) state.finished = 'no finite cost';
  else if (since !== null && since - best.cost <= costTolerance + ROUNDING * Math.abs(best.cost)) state.finished = 'a fresh simplex brought nothing more';
  else if (state.restarts >= (settings.mostRestarts ?? 9)) state.finished = `${state.restarts + 1} simplices have come to rest`;
  if (state.finished !== null || best === null) return;
  state.since = best.cost;
  state.restarts++;
  state.step = 'first';
  state.reflected = null;
  state.simplex = [];
  state.asked = aroundOf(fromBox(settings, best.point), edge, state.restarts % 2 === 0 ? 1 : -1);
}
