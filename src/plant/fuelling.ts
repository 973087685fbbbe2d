/**
 * What the fuel makes of each charge, where that moves from one to the next: fuel cut and wall film. SI.
 *
 * The torque of a charge is `factor` times that of a stoichiometric one. The factor is worked out as the charge is drawn in
 * and waits beside it in a delay line of the same crank angle.
 *
 *     ṁ_inj = share·ṁ_air/(λ·σ₀)          λ_cyl = share·ṁ_air/(σ₀·ṁ_cyl)          factor = share·mixture(λ_cyl)·(lean: completeness)
 *
 * While nothing is injected, what comes off the wall spreads over every cylinder: share is then 1 in the last two.
 */
import { createDelayLine } from '../numerics/delay-line.js';
import type { EngineSettings } from './engine.js';
import { createFuelCut, moveFuelCut } from './fuel-cut.js';
import type { MixtureLaw } from './laws/law.js';
import { createWallFilm, leanCompleteness, moveWallFilm, restWallFilm } from './wall-film.js';

export interface Fuelling {
  /** Passage of the delay line (see delay-line.ts); from place 3 what comes out at the step's start, middle and end. */
  readonly passage: Float64Array;
  /** Fuel injected, and fuel into the cylinders, kg/s; fuel on the wall, kg. */
  readonly now: { injected: number; entering: number; film: number };
  /** @param air drawn in, kg/s  @param lambda asked for */
  rest(running: boolean, air: number, lambda: number): void;
  /** Reads the delay line for a step from one crank angle to a predicted one. */
  read(angle: number, ahead: number): void;
  /** Moves by a step and files what it makes of the charge drawn in at the step's start. */
  move(running: boolean, omega: number, plate: number, air: number, lambda: number): void;
  /** The factor of the charge that fires at a crank angle. */
  at(angle: number): number;
}

/**
 * @param delay crank angle from charge to torque, rad  @param readings that the line keeps
 * @returns null when neither is on
 * @throws RangeError when settings contradict each other
 */
export function createFuelling(engine: EngineSettings, mixture: MixtureLaw, step: number, delay: number, readings: number): Fuelling | null {
  const { fuelCut, wallFilm } = engine;
  if (fuelCut.is === 'on' && fuelCut.resumeSpeed >= fuelCut.outSpeed) throw new RangeError('engine.fuelCut.resumeSpeed: must lie below engine.fuelCut.outSpeed');
  if (wallFilm.is === 'on' && wallFilm.leanMisfire <= wallFilm.leanBurning) throw new RangeError('engine.wallFilm.leanMisfire: must lie above engine.wallFilm.leanBurning');
  if (fuelCut.is === 'off' && wallFilm.is === 'off') return null;

  const { stoichiometric } = engine.fuel;
  const line = createDelayLine(delay, readings);
  const passage = new Float64Array(7);
  const cut = createFuelCut();
  const film = wallFilm.is === 'on' ? createWallFilm(wallFilm, step) : null;
  const now = { injected: 0.5, entering: 0.5, film: 0.5 };

  const factorOf = (air: number, lambda: number): number => {
    if (film === null || wallFilm.is === 'off') return cut.share * mixture(lambda);
    if (!(air > 0) || !(now.entering > 0)) return air > 0 ? 0 : cut.share * mixture(lambda);
    const share = cut.share > 0 ? cut.share : 1;
    const inside = (share * air) / (stoichiometric * now.entering);
    const burning = leanCompleteness(wallFilm, inside);
    return burning > 0 ? share * burning * mixture(inside) : 0;
  };

  return {
    passage,
    now,
    rest(running, air, lambda) {
      Object.assign(cut, createFuelCut());
      now.injected = running ? air / (lambda * stoichiometric) : 0;
      now.entering = now.injected;
      if (film !== null) restWallFilm(film, now.injected);
      now.film = film === null ? 0 : film.mass;
      line.fill(0, mixture(lambda));
    },
    read(angle, ahead) {
      passage[0] = angle;
      passage[1] = ahead;
      line.give(passage);
    },
    move(running, omega, plate, air, lambda) {
      moveFuelCut(fuelCut, cut, running, omega, plate, step);
      now.injected = (cut.share * air) / (lambda * stoichiometric);
      now.entering = film === null ? now.injected : moveWallFilm(film, now.injected);
      if (film !== null) now.film = film.mass;
      passage[2] = factorOf(air, lambda);
      line.take(passage);
    },
    at: (angle) => line.read(angle),
  };
}
