/** `tickover replay`: other settings on the drive of a log, measured beside simulated. */
import { interpolate } from '../numerics/curve.js';
import { fittedFrom, UnusableLog, usable, type FitRecording } from '../identify/fit/index.js';
import { replay as replayed } from '../identify/replay/replay.js';
import { cautionLine, chart, eventTable } from '../report/index.js';
import { recordingLines } from '../report/fit-text.js';
import { seconds } from '../report/numbers.js';
import { valveRange } from '../scenario/table.js';
import { scoreTrace } from '../score/index.js';
import { BadInput, EXIT } from './failure.js';
import { loadParts, type LogOptions, openLog } from './log-input.js';
import { sentence, type Terminal } from './terminal.js';

export interface ReplayOptions extends LogOptions {
  readonly set: readonly string[];
  readonly engine: string;
  readonly valve?: string;
  readonly controller?: string;
  readonly json?: boolean;
}

const LONGEST_STRETCHES = 5;

/** @returns the exit code */
export async function replay(file: string, options: ReplayOptions, terminal: Terminal): Promise<number> {
  const scenario = await loadParts(options, options.set);
  const log = await openLog(file, options);
  if (scenario.engine.model === 'regression') throw new BadInput(['--engine: a mean-value engine is wanted']);
  const { unit, full } = valveRange(scenario.valve);
  let recording: FitRecording;
  try {
    // what the log's own valve did is measured, not replayed: its unit need not be this valve's
    const channels = new Map([...log.channels].filter(([name]) => name !== 'air'));
    const air = log.channels.get('air');
    recording = usable(air === undefined || log.channels.has('map') ? { ...log, channels } : { ...log, channels: channels.set('air', { ...air, unit, values: air.values.map(() => 0.5 * full) }) }, {
      engine: scenario.engine, valve: { unit, full }, spark: (interpolate(scenario.controller.spark.baseDeg, 90) * Math.PI) / 180,
    });
  } catch (error) {
    if (error instanceof UnusableLog) throw new BadInput([`${file}: ${error.message}`, 'nothing was run']);
    throw error;
  }
  const { loads } = fittedFrom(scenario, recording.loadNames);
  const unheard = loads.filter(({ name }) => !scenario.controller.loads.some((l) => l.name === name)).map(({ name }) => name);
  const longest = [...recording.stretches].sort((a, b) => b.rows - a.rows).slice(0, LONGEST_STRETCHES).sort((a, b) => a.startS - b.startS);
  let runs: ReturnType<typeof replayed>[];
  try {
    runs = longest.map((stretch) => replayed(scenario, recording, stretch, loads));
  } catch (error) {
    if (error instanceof RangeError) throw new BadInput([error.message, 'nothing was run']);
    throw error;
  }
  const scored = runs.map(({ trace }) => scoreTrace(trace, scenario.limits, scenario.scoring));
  const missed = scored.some((s) => s.stalled || s.missed.length > 0);
  if (options.json === true) {
    terminal.out(JSON.stringify({
      file, notes: [...log.report.notes, ...recording.notes], left: recording.left,
      stretches: runs.map(({ startS, trace, timeS, measuredRpm }, i) => ({
        startS, score: scored[i]!.score, verdict: scored[i]!.verdict, stalled: trace.stalled, metrics: scored[i]!.metrics,
        events: scored[i]!.events.map(({ window: _window, ...event }) => event),
        measured: { timeS: [...timeS], speedRpm: [...measuredRpm] },
        simulated: { timeS: [...trace.columns.timeS.subarray(0, trace.rows)], speedRpm: [...trace.columns.speedRpm.subarray(0, trace.rows)] },
      })),
    }, null, 1));
    return missed ? EXIT.missed : EXIT.ok;
  }
  const { layout } = terminal;
  terminal.out([
    ...sentence(`Replay of ${file} on ${options.engine}${options.controller === undefined ? '' : ` with ${options.controller}`}`, terminal), '',
    ...log.report.notes.flatMap((note) => sentence(`Log: ${note}.`, terminal)),
    ...recordingLines(recording, layout.columns),
    ...(recording.stretches.length > longest.length ? sentence(`The ${longest.length} longest stretches are replayed.`, terminal) : []),
    ...(unheard.length === 0 ? [] : sentence(`Note: the controller has no load called ${unheard.join(' or ')}: it takes hold unannounced.`, terminal)),
    ...runs.flatMap(({ startS, trace, timeS, measuredRpm }, i) => [
      '',
      ...chart({
        title: `from ${seconds(startS)} of the log: speed`, unit: 'rpm', timeS: trace.columns.timeS.subarray(0, trace.rows), columns: layout.columns, colour: layout.colour,
        rows: Math.max(12, Math.min(20, layout.rows - 16)), stallS: trace.stallTimeS,
        series: [
          { name: 'simulated', values: trace.columns.speedRpm.subarray(0, trace.rows) },
          { name: 'measured', values: measuredRpm, timeS, glyph: 'dashed' },
          { name: 'target', values: trace.columns.targetRpm.subarray(0, trace.rows), glyph: 'points' },
        ],
      }),
      '',
      ...(scored[i]!.events.length === 0 ? [] : eventTable(scored[i]!, { columns: layout.columns, colour: layout.colour })),
      ...sentence(`${scored[i]!.verdict}. Score ${scored[i]!.score.toFixed(3)}.`, terminal),
    ]),
    '',
    ...sentence(cautionLine('both'), terminal),
  ]);
  return missed ? EXIT.missed : EXIT.ok;
}
