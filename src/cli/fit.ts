/** `tickover fit`: an engine from logs. */
import { createHash } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { interpolate } from '../numerics/curve.js';
import { nextExperiments } from '../identify/fit/experiment.js';
import { type EngineFit, fitEngine, fittedFrom, type FitRecording, periodFor, UnusableLog, usable } from '../identify/fit/index.js';
import { joinRecordings } from '../identify/fit/join.js';
import { fitPage, recordingLines, toldText } from '../report/fit-text.js';
import { engineFile, valveFile } from '../report/settings-file.js';
import { cautionLine } from '../report/index.js';
import { nearestName } from '../scenario/problem.js';
import { valveRange } from '../scenario/table.js';
import { BadInput, EXIT } from './failure.js';
import { checkWritable, STANDARD_OUTPUT, writeWhole } from './files.js';
import { loadParts, type LogOptions, openLog } from './log-input.js';
import { sentence, type Terminal } from './terminal.js';

export interface FitCommandOptions extends LogOptions {
  readonly set: readonly string[];
  readonly engine: string;
  readonly valve?: string;
  readonly anchor: string;
  readonly hold?: readonly string[];
  readonly heldOut: number;
  readonly out?: string;
  readonly valveOut?: string;
  readonly json?: boolean;
}

const HEAD = 'Fitted by tickover fit';
/** A quarter of an hour of eleven channels at 20 Hz: what is fitted in minutes. The reader keeps what tells most. */
const MOST_READINGS = 200_000;

/** Refuses, before anything is fitted, a file that could not be written or would take the place of other work. */
function checkOut(option: string, path: string | undefined, inputs: readonly string[]): void {
  if (path === undefined) return;
  if (path === STANDARD_OUTPUT) throw new BadInput([`${option}: the name of a file is wanted`]);
  let text: string | null = null;
  try {
    text = existsSync(path) ? readFileSync(path, 'utf8') : null;
  } catch {
    // a folder, or not readable: what follows says why
  }
  if (text?.startsWith(`# ${HEAD}`) === true) return;
  if (text !== null) throw new BadInput([`${option}  ${path}: is there already, and fit did not write it; give another name`]);
  checkWritable(path, inputs);
}

const today = (): string => new Date().toISOString().slice(0, 10);

/** @returns the exit code */
export async function fit(files: readonly string[], options: FitCommandOptions, terminal: Terminal): Promise<number> {
  if (!(options.heldOut >= 0 && options.heldOut <= 80)) throw new BadInput([`--held-out ${options.heldOut}: 0 to 80 % is wanted`]);
  const inputs = [...files, options.engine];
  checkOut('--out', options.out, inputs);
  checkOut('--valve-out', options.valveOut, inputs);
  if (options.out !== undefined && options.out === options.valveOut) throw new BadInput(['--valve-out: is the file of --out; give another name']);
  const scenario = await loadParts(options, options.set);
  const { unit, full } = valveRange(scenario.valve);
  const { engine } = scenario;
  if (engine.model === 'regression') throw new BadInput(['--engine: the regression has no inertia, plenum or friction of its own to fit; give a mean-value engine']);
  const recordings: FitRecording[] = [];
  const notes: string[] = [];
  const spark = (interpolate(scenario.controller.spark.baseDeg, 90) * Math.PI) / 180;
  let periodS: number | undefined;
  for (const file of files) {
    const log = await openLog(file, options, MOST_READINGS);
    notes.push(...log.report.notes.map((note) => (files.length > 1 ? `${file}: ${note}` : note)));
    const own = log.report.channels.filter(({ by }) => by !== 'given').map(({ name, column }) => `${name} = ${column}`);
    if (own.length > 0) notes.push(`columns by their names: ${own.join(', ')}`);
    periodS ??= periodFor(log);
    try {
      recordings.push(usable(log, { engine, valve: { unit, full }, spark, periodS }));
    } catch (error) {
      if (error instanceof UnusableLog) throw new BadInput([`${file}: ${error.message}`, 'nothing was fitted']);
      throw error;
    }
  }
  const recording = joinRecordings(recordings);
  const base = fittedFrom(scenario, recording.loadNames);
  const answer = attempt(() => fitEngine(recording, base, {
    anchor: anchorOf(options.anchor), heldOut: options.heldOut / 100, hold: options.hold ?? [],
    onStep: (said) => {
      if (terminal.progress) terminal.err(`… ${said}`);
    },
  }));
  const unknown = (options.hold ?? []).find((key) => !answer.knobs.some((knob) => knob.key === key));
  if (unknown !== undefined) {
    const keys = answer.knobs.map(({ key }) => key);
    const near = nearestName(unknown, keys);
    throw new BadInput([`--hold ${unknown}: is none of the parameters${near === null ? '' : `; did you mean ${near}?`} There are ${keys.join(', ')}`]);
  }
  const experiments = nextExperiments(answer);
  const head = headOf(files, answer);
  if (options.out !== undefined) writeWhole(options.out, [`${engineFile({ ...answer.fitted.engine, model: 'mean-value', roughnessPct: engine.roughnessPct, machines: machinesOf(answer) }, head).join('\n')}\n`]);
  if (options.valveOut !== undefined) writeWhole(options.valveOut, [`${valveFile(answer.fitted.valve, unit, head).join('\n')}\n`]);
  if (options.json === true) {
    terminal.out(JSON.stringify(fitObject(files, answer, experiments, notes), null, 1));
    return EXIT.ok;
  }
  const valveMoved = answer.told.some(({ key, low }) => key.startsWith('valve.') && low !== null);
  terminal.out([
    ...sentence(`Fit of ${files.join(', ')} to ${options.engine}`, terminal), '',
    ...notes.flatMap((note) => sentence(`Log: ${note}.`, terminal)),
    ...recordingLines(recording, terminal.layout.columns), '',
    ...fitPage(answer, experiments, terminal.layout), '',
    ...(options.out === undefined ? [] : sentence(`Engine written to ${options.out}; a scenario takes it by  engine: {from: ${options.out}}`, terminal)),
    ...(options.valveOut === undefined ? [] : sentence(`Valve written to ${options.valveOut}; a scenario takes it by  valve: {from: ${options.valveOut}}`, terminal)),
    ...(options.out !== undefined && options.valveOut === undefined && valveMoved ? sentence('The valve was fitted too, and is no part of an engine file: --valve-out FILE writes it.', terminal) : []),
    ...sentence(cautionLine('both'), terminal),
  ]);
  return EXIT.ok;
}

function attempt<T>(work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof RangeError) throw new BadInput([error.message, 'nothing was fitted']);
    throw error;
  }
}

function anchorOf(text: string): 'fuel energy' | `load:${string}` {
  if (text === 'fuel') return 'fuel energy';
  if (/^load:\S/.test(text)) return text as `load:${string}`;
  throw new BadInput([`--anchor ${text}: fuel, or load:NAME, is wanted`]);
}

/** Machines of the engine, those that the log switches at their fitted torque; loads without one become machines. */
function machinesOf({ fitted, base, used }: EngineFit): EngineFit['fitted']['engine']['machines'] {
  const at1000 = (1000 * Math.PI) / 30;
  const known = base.engine.machines.filter(({ name }) => !used.loadNames.includes(name));
  return [
    ...known,
    ...fitted.loads.map(({ name, torque, square, power, engage }) => {
      const before = base.engine.machines.find((m) => m.name === name);
      return { name, torque, squareAt1000: square * at1000 * at1000, power, engage, kick: before?.kick ?? 0, kickTime: before?.kickTime ?? 0.5 };
    }),
  ];
}

function headOf(files: readonly string[], { told, anchors, heldOut, method }: EngineFit): readonly string[] {
  const hash = createHash('sha256');
  for (const file of files) hash.update(readFileSync(file));
  return [
    `${HEAD} on ${today()} from ${files.join(', ')} (sha256 ${hash.digest('hex').slice(0, 16)}), by its ${method} errors.`,
    `${anchors.text}.`,
    ...told.map(toldText),
    ...(heldOut === null ? [] : [`Held out, free run, rms: ${heldOut.steadyRpm?.toFixed(1) ?? 'no'} rpm in steady idle, ${heldOut.eventsRpm?.toFixed(1) ?? 'no'} rpm through events.`]),
  ];
}

/** The whole result as plain data. */
const fitObject = (files: readonly string[], answer: EngineFit, experiments: ReturnType<typeof nextExperiments>, notes: readonly string[]) => ({
  files, notes: [...notes, ...answer.used.notes], method: answer.method, converged: answer.converged, anchor: answer.anchors.text,
  parameters: answer.told, onlyRatios: answer.freedoms, reading: answer.reading,
  singularValues: answer.least.singularValues,
  whiteness: answer.whiteness === null ? null : { q: answer.whiteness.q, p: answer.whiteness.p, white: answer.whiteness.white },
  fittedPart: rmsOf(answer.fittedPart), heldOut: answer.heldOut === null ? null : rmsOf(answer.heldOut),
  left: answer.used.left, experiments,
});
const rmsOf = ({ allRpm, steadyRpm, eventsRpm, pressureKpa }: EngineFit['fittedPart']) => ({ allRpm, steadyRpm, eventsRpm, pressureKpa });
