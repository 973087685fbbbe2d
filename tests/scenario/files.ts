/** Scenario files kept in memory, and what comes of loading them. */
import { type Entry, formatProblem, loadScenario, type Scenario } from '../../src/scenario/index.js';

export type Texts = Readonly<Record<string, string>>;

/** A reader over texts by path, which fails as the file system does. */
export const reader =
  (texts: Texts) =>
  (path: string): string => {
    if (!Object.hasOwn(texts, path))
      throw Object.assign(new Error(`ENOENT: no such file or directory, open '${path}'`), { code: 'ENOENT' });
    return texts[path]!;
  };

const asTexts = (texts: string | Texts): Texts => (typeof texts === 'string' ? { 's.yaml': texts } : texts);

/** Loads the first of the texts. @throws if there are problems */
export async function loadAll(
  texts: string | Texts,
  set: readonly string[] = [],
): Promise<{ readonly scenarios: readonly Scenario[]; readonly entries: readonly (readonly Entry[])[] }> {
  const files = asTexts(texts);
  const loaded = await loadScenario(Object.keys(files)[0]!, { read: reader(files), set });
  if (loaded.scenarios === null) throw new Error(loaded.problems.map(formatProblem).join('\n'));
  return loaded;
}

/** The one scenario of the first of the texts. */
export async function load(texts: string | Texts, set: readonly string[] = []): Promise<Scenario> {
  const { scenarios } = await loadAll(texts, set);
  if (scenarios.length !== 1) throw new Error(`${scenarios.length} scenarios`);
  return scenarios[0]!;
}

/** What is wrong with the first of the texts, a line each. */
export async function problems(texts: string | Texts, set: readonly string[] = []): Promise<readonly string[]> {
  const files = asTexts(texts);
  return (await loadScenario(Object.keys(files)[0]!, { read: reader(files), set })).problems.map(formatProblem);
}
