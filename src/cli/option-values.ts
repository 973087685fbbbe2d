/** What an option may be given: each turns the word on the command line into a value, or says what is wanted. */
import { InvalidArgumentError } from 'commander';

/** Gathers an option that may be given several times. */
export const several = (value: string, before: readonly string[] = []): readonly string[] => [...before, value];

/** A whole number from 1 to `most`. @param name of the option, for the error */
export const count = (name: string, most: number) => (value: string): number => {
  const number = Number(value);
  if (!Number.isInteger(number) || number < 1 || number > most) throw new InvalidArgumentError(`${name}: ${value} is no whole number from 1 to ${most}`);
  return number;
};

/** A seed: a whole number that a double holds exactly. */
export const seedNumber = (value: string): number => {
  const number = Number(value);
  if (!/^\d+$/.test(value) || !Number.isSafeInteger(number)) throw new InvalidArgumentError(`--seed: ${value} is no whole number from 0 to ${Number.MAX_SAFE_INTEGER}`);
  return number;
};

/** Any finite number. @param name of the option, for the error */
export const plainNumber = (name: string) => (value: string): number => {
  const number = Number(value);
  if (value.trim() === '' || !Number.isFinite(number)) throw new InvalidArgumentError(`${name}: ${value} is no number`);
  return number;
};
