/** From files and `--set` to one tree a section, and one a drill. */
import type { Row } from '../parameter/table.js';
import { beside, type Files, notMapping } from './files.js';
import { put } from './merge.js';
import { drillRow, insideOwn, layOver, leadsToOwn, OWN_SECTIONS, type OwnSection, splitDrill } from './own.js';
import { nearestName, type Place, type Problem, quote, SET } from './problem.js';
import { unknownKey } from './read.js';
import type { Setting } from './set.js';
import { scenarioTable, SECTIONS } from './table.js';
import type { MappingNode, Tree } from './tree.js';

/** Most drills of a suite. */
const MOST_DRILLS = 200;

export interface DrillPart {
  /** `drill`, or `drills.0` in a suite. */
  readonly label: string;
  readonly tree: Tree | undefined;
  /** Whole trees of the sections that this drill has for itself, those of the file beneath. */
  readonly own: ReadonlyMap<OwnSection, Tree>;
}

/** Trees of a scenario; undefined where nothing is said. */
export interface Parts {
  readonly common: ReadonlyMap<Exclude<keyof typeof scenarioTable, 'drill'>, Tree | undefined>;
  readonly drills: readonly DrillPart[];
  /** Sections that come from a file which could not be read: nothing is known of them. */
  readonly lost: ReadonlySet<string>;
}

const COMMON = Object.keys(scenarioTable).filter((key) => key !== 'drill') as readonly Exclude<
  keyof typeof scenarioTable,
  'drill'
>[];
const isSection = (key: string): boolean => (SECTIONS as readonly string[]).includes(key);

/** Takes the main document apart; what is wrong goes to `problems`. */
export function takeApart(files: Files, root: MappingNode, settings: readonly Setting[], problems: Problem[]): Parts {
  const main = root.place.file;
  const drillFields = root.fields.get('drills');
  const suite = drillFields !== undefined;
  const names = { ...scenarioTable, drills: scenarioTable.drill };
  for (const [key, { key: place }] of root.fields) {
    if (Object.hasOwn(names, key)) continue;
    const message = key === 'from' ? 'unknown key; from stands inside a section, such as engine' : unknownKey(key, names);
    problems.push({ ...place, path: quote(key), message });
  }
  if (suite && root.fields.has('drill')) {
    problems.push({ ...drillFields.key, path: 'drills', message: 'stands beside drill; one of the two is wanted' });
  }
  for (const { path } of settings)
    if (!Object.hasOwn(names, path[0]!))
      problems.push({ ...SET, path: path.join('.'), message: unknownSetting(path[0]!, names) });

  const lost = new Set<string>();
  /** A tree with what `--set` puts into it; `insideOf` says which part of a path leads there. */
  const withSettings = (row: Row, under: Tree | undefined, insideOf: (setting: Setting) => readonly string[] | null, section: boolean): Tree | undefined =>
    settings.reduce<Tree | undefined>((before, setting) => {
      const { path, value } = setting;
      const inside = insideOf(setting);
      if (inside === null) return before;
      if (inside.length === 0 && section) {
        problems.push({ ...SET, path: path.join('.'), message: 'cannot be set whole; set its keys one by one' });
        return before;
      }
      const result = put(row, before, inside, value, (place: Place) => place === SET || place.file === main);
      if (!('problem' in result)) return result;
      problems.push({ ...SET, path: path.join('.'), message: result.problem });
      return before;
    }, under);

  const bare = new Map<string, Tree | undefined>();
  const part = (key: keyof typeof scenarioTable): Tree | undefined => {
    const tree = root.fields.get(key)?.value;
    const assembled = tree !== undefined && isSection(key) ? files.assemble(scenarioTable[key], tree, key, [beside('', main)]) : tree;
    if (assembled === null) lost.add(key);
    bare.set(key, assembled ?? undefined);
    return withSettings(scenarioTable[key], assembled ?? undefined, ({ path }) => (path[0] === key ? path.slice(1) : null), isSection(key));
  };
  const drillPart = (label: string, tree: Tree | undefined): DrillPart => {
    const assembled = tree === undefined ? undefined : (files.assemble(drillRow, tree, label, [beside('', main)]) ?? undefined);
    const { drill, own: said } = splitDrill(assembled, label, problems);
    const own = new Map<OwnSection, Tree>();
    for (const key of OWN_SECTIONS) {
      const section = said.get(key);
      if (section === undefined && !settings.some((setting) => insideOwn(setting, key, label)?.drills === true)) continue;
      const under = section === undefined ? bare.get(key) : layOver(files, key, section, bare.get(key), label);
      if (under === null) continue;
      const whole = withSettings(scenarioTable[key], under, (setting) => insideOwn(setting, key, label)?.inside ?? null, true);
      if (whole !== undefined) own.set(key, whole);
    }
    const inDrill = ({ path }: Setting): readonly string[] | null => {
      const inside = rest(path, label);
      return inside === null || leadsToOwn(inside) ? null : inside;
    };
    return { label, own, tree: withSettings(scenarioTable.drill, drill, inDrill, true) };
  };

  const common = new Map(COMMON.map((key) => [key, part(key)] as const));
  if (!suite) {
    for (const { path } of settings)
      if (path[0] === 'drills') problems.push({ ...SET, path: path.join('.'), message: 'there are no drills; the one is drill' });
    return { common, lost, drills: [drillPart('drill', root.fields.get('drill')?.value)] };
  }
  const list = drillFields.value;
  if (list.kind !== 'list' || list.items.length === 0 || list.items.length > MOST_DRILLS) {
    const got = list.kind === 'list' ? `${list.items.length} items` : notMapping(list).replace('a mapping of keys', 'a list');
    problems.push({
      ...list.place,
      path: 'drills',
      message: list.kind === 'list' ? `a list of 1 to ${MOST_DRILLS} drills is wanted, not ${got}` : got,
    });
    return { common, lost, drills: [] };
  }
  for (const { path } of settings) {
    if (path[0] === 'drills' && !(/^\d+$/.test(path[1] ?? '') && Number(path[1]) < list.items.length)) {
      problems.push({
        ...SET,
        path: path.join('.'),
        message: `${path[1] ?? 'drills'} is none of the drills, 0 to ${list.items.length - 1}`,
      });
    }
  }
  return {
    common,
    lost,
    drills: list.items.map((item, i) => drillPart(`drills.${i}`, item)),
  };
}

/** What of a set path lies inside a drill: `drill` means every drill of a suite, `drills.1` the second. */
function rest(path: readonly string[], label: string): readonly string[] | null {
  if (path[0] === 'drill') return path.slice(1);
  return path[0] === 'drills' && label === `drills.${path[1]}` ? path.slice(2) : null;
}

function unknownSetting(section: string, names: Readonly<Record<string, unknown>>): string {
  const near = nearestName(section, Object.keys(names));
  return `unknown key; ${near === null ? `a key starts with one of ${Object.keys(names).join(', ')}` : `did you mean ${near}?`}`;
}
