/** How far each setting may move alone and stay acceptable: halved towards from either side, all of them side by side. */
import { orderOf } from './search.js';
import type { Judged, Referee } from './referee.js';
import { typed } from './rule-rows.js';
import type { Variable } from './space.js';

export interface TuneRange {
  readonly key: string;
  readonly unit: string;
  readonly value: number;
  /** Least and most at which everything still holds; the end of what was looked at where `open`. */
  readonly least: number;
  readonly most: number;
  readonly leastOpen: boolean;
  readonly mostOpen: boolean;
}

const HALVINGS = 5;
/** How far up is looked: times the value, and never beyond what the setting may be. */
const UPWARDS = 4;

interface End {
  readonly variable: Variable;
  readonly place: number;
  readonly up: boolean;
  good: number;
  bad: number;
  open: boolean;
}

/**
 * @param tuned a set that holds   @param runs judged on
 * @returns null when the signal cut it off
 */
export async function rangesOf(referee: Referee, tuned: Judged, variables: readonly Variable[], runs: readonly number[]): Promise<readonly TuneRange[] | null> {
  const { keys } = referee.course;
  const ends = variables.flatMap((variable): End[] => {
    const place = keys.indexOf(variable.key);
    const value = tuned.values[place] as number;
    const most = Math.max(value, Math.min(variable.most * UPWARDS, UPWARDS * value || variable.most));
    return [
      ...(value > variable.least ? [{ variable, place, up: false, good: value, bad: variable.least, open: false }] : []),
      ...(most > value ? [{ variable, place, up: true, good: value, bad: most, open: false }] : []),
    ];
  });
  for (let round = 0; round <= HALVINGS; round++) {
    const waiting = ends.filter(({ open }) => !open);
    const trial = ({ good, bad }: End): number => (round === 0 ? bad : typed((good + bad) / 2));
    const judged = await referee.judge(waiting.map((end) => tuned.values.with(end.place, trial(end))), { order: orderOf(runs, referee), onlyHolding: true });
    if (judged.some((each) => each === null)) return null;
    waiting.forEach((end, i) => {
      const at = trial(end);
      if ((judged[i] as Judged).holds) {
        end.good = at;
        if (round === 0) end.open = true;
      } else end.bad = at;
    });
  }
  return variables.map((variable): TuneRange => {
    const value = tuned.values[keys.indexOf(variable.key)] as number;
    const [down, up] = [false, true].map((way) => ends.find((end) => end.variable === variable && end.up === way));
    return {
      key: variable.key, unit: variable.unit, value, least: down?.good ?? value, most: up?.good ?? value,
      leastOpen: down === undefined || down.open, mostOpen: up?.open ?? false,
    };
  });
}
