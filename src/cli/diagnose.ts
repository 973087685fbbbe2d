/** `tickover diagnose`: what is wrong with an idle, from a log or from a scenario's own run. */
import { diagnose as diagnoseOf, type Diagnosis, limitsFrom, type Recording, recordingOfTrace, recordingsOfLog, SYMPTOM_LIMITS, unusable } from '../identify/diagnose/index.js';
import type { Log } from '../identify/log/index.js';
import { simulate } from '../loop/simulate.js';
import { diagnosisObject, diagnosisPage } from '../report/diagnose-text.js';
import { cautionLine } from '../report/index.js';
import { BadInput, EXIT } from './failure.js';
import { load } from './files.js';
import { type LogOptions, openLog } from './log-input.js';
import { titleOf } from './run.js';
import { sentence, type Terminal } from './terminal.js';

export interface DiagnoseOptions extends LogOptions {
  readonly set: readonly string[];
  /** Target speed where the log has none, rpm. */
  readonly target?: number;
  readonly json?: boolean;
}

const SCENARIO = /\.ya?ml$/i;
/** Notes of the reader that are shown. */
const MOST_NOTES = 8;

interface Diagnosed {
  readonly title: string;
  readonly diagnosis: Diagnosis;
}

async function fromScenario(file: string, options: DiagnoseOptions): Promise<readonly Diagnosed[]> {
  const given = ['map', 'mapping', 'from', 'to', 'target'].filter((key) => options[key as 'map'] !== undefined);
  if (given.length > 0) throw new BadInput([`--${given[0]}: goes with a log, and ${file} is a scenario`]);
  const { scenarios } = await load(file, options.set);
  return scenarios.map((scenario) => {
    const title = titleOf(scenario, file, scenarios.length > 1);
    return { title, diagnosis: diagnoseOf(recordingOfTrace(simulate(scenario), scenario, title), limitsFrom(scenario.limits)) };
  });
}

function withTarget(recording: Recording, targetRpm: number | undefined): Recording {
  return targetRpm === undefined ? recording : { ...recording, targetRpm: new Float64Array(recording.rows).fill(targetRpm) };
}

function fromLog(file: string, log: Log, options: DiagnoseOptions): readonly Diagnosed[] {
  if (options.set.length > 0) throw new BadInput([`--set: goes with a scenario, and ${file} is a log`]);
  const { target } = options;
  if (target !== undefined && !(target >= 300 && target <= 3000)) throw new BadInput([`--target ${target}: 300 to 3000 rpm is wanted`]);
  const recordings = recordingsOfLog(log).map((recording) => withTarget(recording, target));
  const why = unusable(recordings, log);
  if (why !== null) throw new BadInput([`${file}: ${why}`, 'nothing was diagnosed']);
  const found = recordings.map((recording) => diagnoseOf(recording, SYMPTOM_LIMITS));
  const idle = found.filter(({ idleS }) => idleS >= 1);
  return (idle.length > 0 ? idle : found).map((diagnosis, i, all) => ({ title: all.length > 1 ? `${file}, stretch ${i + 1} of ${all.length}` : file, diagnosis }));
}

/** @returns the exit code: 0 nothing found, 1 something found, as of a limit that is not kept */
export async function diagnose(file: string, options: DiagnoseOptions, terminal: Terminal): Promise<number> {
  const scenario = SCENARIO.test(file);
  const log = scenario ? null : await openLog(file, options);
  const all = log === null ? await fromScenario(file, options) : fromLog(file, log, options);
  const notes = log?.report.notes ?? [];
  const found = all.some(({ diagnosis }) => diagnosis.findings.length > 0);
  const code = found ? EXIT.missed : EXIT.ok;
  if (options.json === true) {
    terminal.out(JSON.stringify({ file, found, exitCode: code, notes, recordings: all.map(({ title, diagnosis }) => ({ title, ...diagnosisObject(diagnosis) })) }, null, 1));
    return code;
  }
  terminal.out(notes.slice(0, MOST_NOTES).flatMap((note) => sentence(`Note: ${note}.`, terminal)));
  if (notes.length > MOST_NOTES) terminal.out(`and ${notes.length - MOST_NOTES} notes more (--json has them)`);
  for (const [i, { title, diagnosis }] of all.entries()) terminal.out([...(i > 0 ? [''] : []), ...sentence(title, terminal), ...diagnosisPage(diagnosis, terminal.layout)]);
  terminal.out(['', ...sentence(cautionLine(scenario ? 'run' : 'recording'), terminal)]);
  return code;
}
