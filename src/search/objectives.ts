/** What a front or a sensitivity analysis may be about: a row's score and its worst numbers, under the names of the command line. */
import { nearestName } from '../scenario/problem.js';
import type { Outcome, WorstName } from './evaluate.js';

export interface Objective {
  /** As written on the command line. */
  readonly option: string;
  readonly name: 'score' | WorstName;
  readonly label: string;
  readonly unit: string;
  readonly better: 'lower' | 'higher';
}

export const OBJECTIVES: readonly Objective[] = [
  { option: 'score', name: 'score', label: 'score', unit: '', better: 'lower' },
  { option: 'settling', name: 'settlingTimeS', label: 'settling', unit: 's', better: 'lower' },
  { option: 'sag', name: 'sagRpm', label: 'sag', unit: 'rpm', better: 'lower' },
  { option: 'flare', name: 'flareRpm', label: 'flare', unit: 'rpm', better: 'lower' },
  { option: 'stall-margin', name: 'stallMarginRpm', label: 'stall margin', unit: 'rpm', better: 'higher' },
  { option: 'hunting', name: 'huntingRpm', label: 'hunting', unit: 'rpm', better: 'lower' },
];

/** The objective of a name, or what is wrong with it. */
export function findObjective(text: string): Objective | string {
  const options = OBJECTIVES.map(({ option }) => option);
  const found = OBJECTIVES.find(({ option }) => option === text.trim());
  if (found !== undefined) return found;
  const near = nearestName(text.trim(), options);
  return `${text.trim() === '' ? 'a metric is missing' : `${text.trim()}: no such metric`}; there are ${options.join(', ')}${near === null ? '' : `; did you mean ${near}?`}`;
}

/** A row's number, or null. */
export const objectiveOf = (row: Outcome, { name }: Objective): number | null => row[name];

/** Why it is null. */
export const absenceOf = (row: Outcome, { name }: Objective): string => (row.reason ?? (name === 'score' ? null : row.reasons[name])) ?? 'absent';
