/** Logs and the engines they belong to, for the commands that read a recording. */
import { createReadStream, readFileSync, statSync } from 'node:fs';
import { parse } from 'yaml';
import { type Log, LogError, type Mapping, parseMap, parseMappingFile, readLog } from '../identify/log/index.js';
import { formatProblem, loadScenario, type Problem, type Scenario } from '../scenario/index.js';
import { BadInput } from './failure.js';
import { reason } from './files.js';

export interface LogOptions {
  readonly map?: readonly string[];
  readonly mapping?: string;
  readonly from?: number;
  readonly to?: number;
}

/** A file's name and message; the line only where there is one. */
const told = (p: Problem): string => (p.line > 0 ? formatProblem(p) : `${p.file}${p.path === '' ? ':' : `  ${p.path}:`} ${p.message}`);

function mappingOf({ map = [], mapping }: LogOptions): Mapping {
  const given = parseMap(map);
  let text = '';
  try {
    text = mapping === undefined ? '' : readFileSync(mapping, 'utf8');
  } catch (error) {
    throw new BadInput([`--mapping ${mapping}: cannot be read: ${reason(error)}`]);
  }
  const file = mapping === undefined ? { mapping: [], problems: [] } : parseMappingFile(mapping, text);
  const problems = [...file.problems, ...given.problems];
  if (problems.length > 0) throw new BadInput(problems.map(told));
  const named = new Set(given.mapping.map(({ channel }) => channel)); // the command line has the last word
  return [...file.mapping.filter(({ channel }) => !named.has(channel)), ...given.mapping];
}

/** Reads a log. @param mostReadings what is held at most; of a longer log the parts that tell most of an idle @throws BadInput */
export async function openLog(file: string, options: LogOptions, mostReadings = 600_000): Promise<Log> {
  const mapping = mappingOf(options);
  try {
    if (statSync(file).isDirectory()) throw new BadInput([`${file}: is a folder; a log is wanted`]);
    const { from, to } = options;
    return await readLog(createReadStream(file), { name: file, mapping, mostReadings, ...(from === undefined ? {} : { fromS: from }), ...(to === undefined ? {} : { toS: to }) });
  } catch (error) {
    if (error instanceof LogError) throw new BadInput([...error.problems.map(told), 'nothing was fitted or run']);
    if ((error as NodeJS.ErrnoException).code !== undefined) throw new BadInput([`${file}: cannot be read: ${(error as NodeJS.ErrnoException).code === 'ENOENT' ? 'there is no such file' : reason(error)}`]);
    throw error;
  }
}

/** Whether a file is a whole scenario: it names its parts. One that cannot be read is told by whoever loads it. */
function isScenario(file: string): boolean {
  try {
    const top: unknown = parse(readFileSync(file, 'utf8'));
    return typeof top === 'object' && top !== null && 'engine' in top;
  } catch {
    return false;
  }
}

/** Parts of a scenario by their files: the engine as a whole scenario or by itself. @throws BadInput */
export async function loadParts(parts: { readonly engine: string; readonly valve?: string; readonly controller?: string }, set: readonly string[] = []): Promise<Scenario> {
  const whole = isScenario(parts.engine);
  const lines = (['engine', 'valve', 'controller'] as const).flatMap((key) => {
    const file = parts[key];
    return file === undefined || (key === 'engine' && whole) ? [] : [`${key}: {from: ${JSON.stringify(file)}}`];
  });
  const plain = whole && lines.length === 0;
  const base = whole && !plain ? `${readFileSync(parts.engine, 'utf8')}` : '';
  const path = plain ? parts.engine : whole ? parts.engine : 'parts.yaml';
  const text = whole ? withParts(base, parts) : `${lines.join('\n')}\n`;
  const loaded = await loadScenario(path, { set, read: (file) => (file === path && !plain ? text : readFileSync(file, 'utf8')) });
  if (loaded.scenarios === null) throw new BadInput([...loaded.problems.slice(0, 20).map(formatProblem), 'nothing was fitted or run']);
  return loaded.scenarios[0]!;
}

/** A scenario cannot be given twice: a valve or controller of its own beside --valve or --controller is refused. */
function withParts(text: string, { valve, controller }: { readonly valve?: string; readonly controller?: string }): string {
  const top = parse(text) as Record<string, unknown>;
  const folderless = Object.entries({ valve, controller }).filter(([, file]) => file !== undefined);
  const taken = folderless.filter(([key]) => key in top).map(([key]) => key);
  if (taken.length > 0) throw new BadInput([`--${taken[0]}: the scenario has a ${taken[0]} of its own; give --engine a file that holds the engine alone, or leave --${taken[0]} out`]);
  return `${text}\n${folderless.map(([key, file]) => `${key}: {from: ${JSON.stringify(absolute(file!))}}`).join('\n')}\n`;
}

const absolute = (file: string): string => (/^([/\\]|[A-Za-z]:[/\\])/.test(file) ? file : `${process.cwd()}/${file}`);
