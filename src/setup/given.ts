/** What a file said, and what is a default. */
import type { Entry } from '../scenario/index.js';

/** Whether a key, or one under it, was given in the file or by `--set`. @param entries of every scenario, as `loadScenario` gives them */
export function givenIn(entries: readonly (readonly Entry[])[]): (path: string) => boolean {
  const said = entries.flat().filter(({ origin }) => !origin.startsWith('default')).map(({ path }) => path);
  return (path) => said.some((each) => each === path || each.startsWith(`${path}.`));
}
