/** `tickover margins`: how far an idle is from hunting, by its linear model. */
import { idleLoop, type IdleMargins, idleMargins, idlePoles, type LinearIdle, linearIdleOf } from '../linear/idle.js';
import type { BreakName } from '../linear/idle-loops.js';
import { imperfections, type LimitCycleAnswer, NO_PLAY, NO_STEPS, playCycle, stepCycle } from '../linear/limit-cycle.js';
import { loopCurve } from '../linear/loop-curve.js';
import type { Margins } from '../linear/margins.js';
import { follow } from '../linear/trace-response.js';
import { bodeChart } from '../report/bode.js';
import { cautionLine } from '../report/index.js';
import { LOOP_NAMES, marginsTable } from '../report/margins.js';
import { cycleLines, marginsWords, polesLines, restLine } from '../report/margins-words.js';
import { sparkLimitTable, sparkLimitWords } from '../report/margins-spark.js';
import { nyquistChart } from '../report/nyquist-chart.js';
import { bodePicture } from '../report/svg/bode-picture.js';
import type { Picture } from '../report/svg/picture.js';
import type { Scenario } from '../scenario/index.js';
import { createUnitReader, isUnitProblem } from '../units/index.js';
import { BadInput, EXIT } from './failure.js';
import { load } from './files.js';
import { marginsObject } from './margins-json.js';
import { sparkStudy } from './margins-spark.js';
import { checkPicture, isPictureAlone, writePicture } from './picture.js';
import { titleOf } from './run.js';
import { sentence, type Terminal } from './terminal.js';

export interface MarginsOptions {
  readonly set: readonly string[];
  readonly coolant?: string;
  readonly bode?: boolean;
  readonly nyquist?: boolean;
  readonly sparkLimit?: boolean;
  readonly vary?: readonly string[];
  readonly json?: boolean;
  readonly svg?: string;
}

const none = (because: string): LimitCycleAnswer => ({ cycle: null, because });

/** @returns the exit code: 0 also for an idle that hunts, since that may be what was asked */
export async function margins(file: string, options: MarginsOptions, terminal: Terminal): Promise<number> {
  if (options.vary !== undefined && options.sparkLimit !== true) throw new BadInput(['--vary: says what --spark-limit is taken against; give both']);
  if (options.svg !== undefined && options.sparkLimit === true) throw new BadInput(['--svg: draws the loops; leave out --spark-limit']);
  checkPicture(options, [file]);
  const coolant = options.coolant === undefined ? undefined : await readCoolant(options.coolant);
  const { scenarios } = await load(file, options.set);
  const scenario = scenarios[0] as Scenario;
  const title = titleOf(scenario, file, false);
  if (options.sparkLimit === true) {
    const study = sparkStudy(scenario, options.vary ?? [], coolant);
    if (options.json === true) terminal.out(JSON.stringify({ file, scenario: title, sparkLimit: study }, null, 1));
    else {
      terminal.out([
        ...sentence(`${title}: the largest spark rate`, terminal), '', ...sparkLimitTable(study, terminal.layout), '',
        ...sparkLimitWords(study).flatMap((text) => sentence(text, terminal)), ...sentence(cautionLine(), terminal),
      ]);
    }
    return EXIT.ok;
  }

  const idle = linearise(scenario, coolant, file);
  const found = idleMargins(idle);
  const poles = idlePoles(idle);
  const acts = idle.controller.airActs || idle.controller.sparkActs;
  const cycles = found.stable === true && scenario.engine.model !== 'regression' ? cyclesOf(scenario, idle) : { steps: none(NO_STEPS), play: none(NO_PLAY) };
  writePicture(options, () => [pictureOf(title, idle, found, marginsWords(found, scenario.controller))]);
  if (isPictureAlone(options)) return EXIT.ok;
  const unit = scenario.engine.model !== 'regression' && scenario.valve.kind === 'stepper' ? 'step' : '%';
  if (options.json === true) {
    terminal.out(JSON.stringify({ file, scenario: title, ...marginsObject(idle, found, poles, cycles, unit) }, null, 1));
    return EXIT.ok;
  }
  const words = (lines: readonly string[]): readonly string[] => lines.flatMap((text) => sentence(text, terminal));
  terminal.out([
    ...words([title, restLine(idle, unit)]),
    '',
    ...(acts ? [...marginsTable(found, terminal.layout), ''] : []),
    ...(acts ? plots(idle, found, options, terminal) : []),
    ...words([...marginsWords(found, scenario.controller), ...polesLines(poles, acts), ...cycleLines(cycles.steps, cycles.play, unit)]),
    ...words([cautionLine()]),
  ]);
  return EXIT.ok;
}

/** The loops that act, the whole one first. */
const acting = ({ controller: { airActs, sparkActs } }: LinearIdle): readonly BreakName[] =>
  airActs && sparkActs ? ['both', 'air', 'spark'] : airActs ? ['air'] : sparkActs ? ['spark'] : [];

function pictureOf(title: string, idle: LinearIdle, found: IdleMargins, words: readonly string[]): Picture {
  const names = acting(idle);
  if (names.length === 0) throw new RangeError('neither air nor spark answers the speed: there is no loop to draw');
  return bodePicture(title, names.map((name) => ({ name: LOOP_NAMES[name], curve: loopCurve(follow(idleLoop(idle, name)).points) })), found.loops[names[0]!] as Margins, words);
}

function plots(idle: LinearIdle, found: IdleMargins, options: MarginsOptions, { layout }: Terminal): readonly string[] {
  const names = acting(idle);
  const lines = names.map((name) => ({ name: LOOP_NAMES[name], loop: idleLoop(idle, name) }));
  return [
    ...(options.bode === true ? [...bodeChart({ ...layout, rows: 26, lines, unit: 'Hz' }), ''] : []),
    ...(options.nyquist === true && lines[0] !== undefined ? [...nyquistChart({ ...layout, rows: 24, ...lines[0], margins: found.loops[names[0] as BreakName] as Margins }), ''] : []),
  ];
}

/** @returns K  @throws BadInput */
async function readCoolant(text: string): Promise<number> {
  const value = (await createUnitReader())(text, 'degC');
  if (isUnitProblem(value)) throw new BadInput([`--coolant  ${value.problem}; write a temperature from −40 to 130, in °C, such as 20`]);
  if (!(value >= -40 && value <= 130)) throw new BadInput([`--coolant  ${value} °C is outside −40 … 130 °C`]);
  return value + 273.15;
}

function linearise(scenario: Scenario, coolant: number | undefined, file: string): LinearIdle {
  try {
    return linearIdleOf(scenario, coolant === undefined ? {} : { coolant });
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new BadInput([`${file}  ${error.message}`, 'nothing was worked out']);
  }
}

function cyclesOf(scenario: Scenario, idle: LinearIdle): { readonly steps: LimitCycleAnswer; readonly play: LimitCycleAnswer } {
  const { step, play } = imperfections(scenario.valve, idle);
  return { steps: stepCycle(idle, step, scenario.controller.pid.deadBandRpm), play: playCycle(idle, play) };
}
