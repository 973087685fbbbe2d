/** Loops against frequency as a picture: gain above, phase below, with the margins of the first one drawn where they are. */
import { type LoopCurve, nearUnity } from '../../linear/loop-curve.js';
import type { Margins } from '../../linear/margins.js';
import { roundFrequencies } from '../frequency-axis.js';
import { formatNumber } from '../numbers.js';
import { clean } from '../text.js';
import { label, line, type Shape } from './drawing.js';
import type { Tone } from './ink.js';
import { EDGE, type Picture, roomFor, sentences } from './picture.js';
import { acrossOf, drawPlot, type Frame, frameFor, type Placing, type PlotLine } from './plot.js';

export interface PicturedLoop {
  readonly name: string;
  readonly curve: LoopCurve;
}

const TONES: readonly Tone[] = ['speed', 'second', 'third'];
/** What is drawn of the gain, dB; frequencies at which it lies nearer to 1 than this; and of the phase, °: a delay turns without end. */
const RANGE_DB = [-40, 40] as const;
const NEAR_DB = 30;
const RANGE_DEG = [-360, 0] as const;
const TURN = 2 * Math.PI;

const logHz = (omega: number): number => Math.log10(omega / TURN);

/** An upright stretch between two values at a frequency. */
function bracket(at: Placing, omega: number, from: number, to: number): readonly Shape[] {
  const [x, a, b] = [at.x(logHz(omega)), at.y(from), at.y(to)];
  return [line('bracket', x, a, x, b), line('bracket', x - 4, a, x + 4, a), line('bracket', x - 4, b, x + 4, b)];
}

/** Whether a bracket lies within a plot. */
const isInside = (at: Placing, omega: number, ...values: readonly number[]): boolean =>
  at.x(logHz(omega)) >= at.left && at.x(logHz(omega)) <= at.right && values.every((value) => at.y(value) >= at.top - 1 && at.y(value) <= at.bottom + 1);

/** The gain margin, its words over the line of gain 1: past the crossover the loops lie under it. */
function gainMarginMark(at: Placing, { gainMargin, gainMarginAt }: Margins): readonly Shape[] {
  if (gainMargin === null || gainMarginAt === null) return [];
  const end = -20 * Math.log10(gainMargin);
  if (!isInside(at, gainMarginAt, 0, end)) return [];
  const [words, x] = [`gain margin × ${formatNumber(Number(gainMargin.toPrecision(3)))}`, at.x(logHz(gainMarginAt))];
  return [...bracket(at, gainMarginAt, 0, end), label(words, Math.min(x - 4, at.right - roomFor(words)), at.y(0) - 6, 'ink')];
}

/** The phase margin, its words under the line it is counted from: before the crossover the phase lies over it. */
function phaseMarginMark(at: Placing, { phaseMarginDeg, crossover }: Margins, phaseAt: (omega: number) => number): readonly Shape[] {
  if (phaseMarginDeg === null || crossover === null) return [];
  const [from, to] = [phaseAt(crossover) - phaseMarginDeg, phaseAt(crossover)];
  return isInside(at, crossover, from, to) ? [...bracket(at, crossover, from, to), label(`phase margin ${formatNumber(phaseMarginDeg, '°')}°`, at.x(logHz(crossover)) + 4, at.y(from) + 15, 'ink', 'end')] : [];
}

function frequencyMarks(frame: Frame, bottom: number): readonly Shape[] {
  const toX = acrossOf(frame);
  const marks = roundFrequencies(frame.span, [1, 2, 5]);
  return marks.flatMap(({ log, text }, i) => [line('axis', toX(log), bottom, toX(log), bottom + 4), label(`${text}${i === marks.length - 1 ? ' Hz' : ''}`, toX(log), bottom + 17, 'faint', 'middle')]);
}

/** Values of a curve from its lowest frequency on, with those that leave the plot by far left out. */
const within = (values: readonly number[], [low, high]: readonly [number, number]): Float64Array =>
  Float64Array.from(values, (value) => (value < low - (high - low) || value > high + (high - low) ? Number.NaN : value));

/**
 * The picture.
 *
 * @param loops the whole one first; one to three   @param margins of the first   @param words what the margins say
 * @throws RangeError when there are no loops
 */
export function bodePicture(title: string, loops: readonly PicturedLoop[], margins: Margins, words: readonly string[]): Picture {
  if (loops.length === 0 || loops.length > TONES.length) throw new RangeError(`nothing to draw: takes 1 to ${TONES.length} loops; given ${loops.length}`);
  const [from, to] = nearUnity(loops.map(({ curve }) => curve), NEAR_DB);
  const frame = frameFor(loops.length > 1 ? loops.map(({ name }) => name) : [], [logHz(from), logHz(to)]);
  const lines = (of: (curve: LoopCurve) => readonly number[], range: readonly [number, number]): readonly PlotLine[] =>
    loops.map(({ name, curve }, i) => {
      const inside = curve.omegas.map((omega, k) => [omega, k] as const).filter(([omega]) => omega >= from * (1 - 1e-9) && omega <= to * (1 + 1e-9));
      return { name, tone: TONES[i]!, x: Float64Array.from(inside, ([omega]) => logHz(omega)), y: within(inside.map(([, k]) => of(curve)[k]!), range) };
    });
  const level = (value: number) => (at: Placing): Shape => line('level', at.left, at.y(value), at.right, at.y(value));
  const first = loops[0]!.curve;
  const phaseAt = (omega: number): number => first.deg[first.omegas.reduce((best, each, i) => (Math.abs(Math.log(each / omega)) < Math.abs(Math.log(first.omegas[best]! / omega)) ? i : best), 0)]!;
  const whose = loops.length > 1 ? ` of ${clean(loops[0]!.name)}` : '';

  const shapes: Shape[] = [label(clean(title), EDGE, 22, 'title')];
  const told = sentences(words, 44);
  shapes.push(...told.shapes);
  const above = drawPlot({
    title: 'gain of the open loop, dB', height: 170, lines: lines(({ db }) => db, RANGE_DB), range: RANGE_DB, step: 20,
    before: (at) => [level(0)(at), ...gainMarginMark(at, margins)],
  }, frame, told.bottom + 14);
  const below = drawPlot({
    title: 'phase, °', height: 170, lines: lines(({ deg }) => deg, RANGE_DEG), range: RANGE_DEG, step: 90,
    before: (at) => [level(-180)(at), ...phaseMarginMark(at, margins, phaseAt)],
  }, frame, above.bottom + 12);
  shapes.push(...above.shapes, ...below.shapes, ...frequencyMarks(frame, below.bottom));
  const foot = whose === '' ? { shapes: [], bottom: below.bottom + 20 } : sentences([`Margins drawn are those${whose}; dotted: gain 1, and −180°.`], below.bottom + 36);
  return { title: clean(title), about: words.join(' '), height: foot.bottom, shapes: [...shapes, ...foot.shapes] };
}
