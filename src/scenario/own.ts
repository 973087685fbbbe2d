/** What a drill holds for itself: sections laid over those of its file, such as the altitude of one drill of a suite. */
import { drillTable } from '../loop/parameters.js';
import { group } from '../parameter/table.js';
import { beside, type Files } from './files.js';
import { merge } from './merge.js';
import type { Problem } from './problem.js';
import type { Setting } from './set.js';
import { type Section, scenarioTable, SECTIONS } from './table.js';
import type { Field, Tree } from './tree.js';

/**
 * Sections of its own that a drill may have. Neither valve nor controller: a suite proves one set of settings, in the unit
 * of one valve.
 */
export const OWN_SECTIONS = ['engine', 'run', 'limits', 'scoring'] as const satisfies readonly Section[];
export type OwnSection = (typeof OWN_SECTIONS)[number];
const isOwn = (key: string): key is OwnSection => (OWN_SECTIONS as readonly string[]).includes(key);

/** A drill as a file may say it. */
export const drillRow = group({
  rows: { ...drillTable, ...Object.fromEntries(OWN_SECTIONS.map((key) => [key, scenarioTable[key]])) },
  meaning: scenarioTable.drill.meaning,
});

/** Why a key is none of a drill's though it is one of a file's; null for every other key. */
function sharedBy(key: string): string | null {
  if (isOwn(key) || key === 'drill' || !(SECTIONS as readonly string[]).includes(key)) return null;
  return `all drills of a file share its ${key}; another ${key} is another file. A drill may have its own ${OWN_SECTIONS.join(', ')}`;
}

/** A drill's tree without its own sections, and these apart; what cannot be a drill's is noted and left out. */
export function splitDrill(
  tree: Tree | undefined, label: string, problems: Problem[],
): { readonly drill: Tree | undefined; readonly own: ReadonlyMap<OwnSection, Tree> } {
  const own = new Map<OwnSection, Tree>();
  if (tree?.kind !== 'mapping') return { drill: tree, own };
  const fields = new Map<string, Field>();
  for (const [key, field] of tree.fields) {
    const shared = sharedBy(key);
    if (isOwn(key)) own.set(key, field.value);
    else if (shared === null) fields.set(key, field);
    else problems.push({ ...field.key, path: `${label}.${key}`, message: shared });
  }
  return { drill: { ...tree, fields }, own };
}

/**
 * A section of a drill laid over that of its file. One that comes `from` a file of its own stands in its place instead.
 *
 * @param common the file's section, without `--set`
 * @returns null where a file could not be read
 */
export function layOver(files: Files, key: OwnSection, section: Tree, common: Tree | undefined, label: string): Tree | null {
  const row = scenarioTable[key];
  const assembled = files.assemble(row, section, `${label}.${key}`, [beside('', section.place.file)]);
  if (assembled === null) return null;
  const replaces = section.kind === 'mapping' && section.fields.has('from');
  return merge(row, replaces ? undefined : common, assembled);
}

/** The part of a set path that lies inside a section of a drill, said of all (`engine.…`, `drill.engine.…`) or of this one. */
export function insideOwn({ path }: Setting, key: OwnSection, label: string): { readonly inside: readonly string[]; readonly drills: boolean } | null {
  if (path[0] === key) return { inside: path.slice(1), drills: false };
  if (path[0] === 'drill' && path[1] === key) return { inside: path.slice(2), drills: true };
  return path[0] === 'drills' && label === `drills.${path[1]}` && path[2] === key ? { inside: path.slice(3), drills: true } : null;
}

/** Whether a set path leads into a section of a drill, and so not to the drill itself. @param inside the path from the drill on */
export const leadsToOwn = (inside: readonly string[]): boolean => inside[0] !== undefined && isOwn(inside[0]);

