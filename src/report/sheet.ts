/**
 * The sheet to type in: its content, in blocks that Markdown and HTML lay out alike. Made to fit two pages.
 *
 * Whoever prints it passes in the date and the hash of the input; there is no clock here.
 */
import { interpolate } from '../numerics/curve.js';
import type { Curve } from '../parameter/table.js';
import { valveRange } from '../scenario/table.js';
import { HOT_C } from '../setup/drills.js';
import type { SetupResult } from '../setup/result.js';
import { cautions } from './caution.js';
import { sheetNumber as number } from './sheet-number.js';
import { sheetSteps } from './sheet-steps.js';

export interface SheetOptions {
  readonly title: string;
  /** File that it was computed from. */
  readonly file: string;
  /** As it is to be printed. */
  readonly date: string;
  readonly inputHash: string;
  readonly version: string;
  readonly fahrenheit: boolean;
  /** What one of our unit is in the reader's numbers; 1 where not given. */
  readonly gainScale: Readonly<Partial<Record<'kp' | 'ki' | 'kd', number>>>;
}

export interface SheetTable {
  readonly kind: 'table';
  readonly heads: readonly string[];
  readonly rows: readonly (readonly string[])[];
  /** Columns whose content is text, at the left; numbers stand at the right. */
  readonly text: readonly number[];
}

export type SheetBlock =
  | SheetTable
  | { readonly kind: 'heading'; readonly text: string; /** What stands under it may go over to the next page. */ readonly mayPart?: boolean }
  | { readonly kind: 'paragraph'; readonly text: string; readonly strong?: boolean }
  | { readonly kind: 'list'; readonly items: readonly string[] };

export interface Sheet {
  readonly title: string;
  readonly blocks: readonly SheetBlock[];
}

const ASSUMPTIONS: readonly string[] = [
  'One cylinder stands for all; what goes on within a cycle is averaged, and cycles are alike unless roughness is given.',
  'Charge, torque and friction are laws with few numbers, assumed where the engine was not measured; friction without pumping, thicker with cold oil.',
  'Fuel follows the air at once unless a wall film is given; a cold engine wets its walls, and wants more air and fuel after the start than this says.',
  'The air is as warm and as dense as the scenario says; the coolant stands where a drill puts it unless warm-up is on.',
  'The drills are those listed. What was not tried is not proven.',
];

/** Points of several curves over all their coolants; between points each is straight, so that nothing is lost. */
function againstCoolant(result: SetupResult, temperature: (celsius: number) => string, air: string, degrees: string): SheetTable {
  const { controller } = result.scenario;
  const { start, spark } = controller;
  const curves: readonly (readonly [string, Curve, number])[] = [
    ['target, rpm', controller.targetRpm, 10],
    [`base air, ${air}`, controller.base, air === '%' ? 0.1 : 1],
    [`cranking air, ${air}`, start.cranking, air === '%' ? 0.1 : 1],
    [`air after start, ${air}`, start.after, air === '%' ? 0.1 : 1],
    ['which is gone in, s', start.durationS, 0.5],
    ['spark, °BTDC', spark.baseDeg, 0.5],
  ];
  const coolants = [...new Set(curves.flatMap(([, { x }]) => x))].sort((a, b) => a - b);
  return {
    kind: 'table',
    heads: [`coolant, ${degrees}`, ...coolants.map(temperature)],
    rows: curves.map(([name, curve, multiple]) => [name, ...coolants.map((at) => number(curve.x.includes(at) ? interpolate(curve, at) : Math.round(interpolate(curve, at) / multiple) * multiple))]),
    text: [0],
  };
}

function singles(result: SetupResult, { gainScale }: SheetOptions, air: string): SheetTable {
  const { controller } = result.scenario;
  const { pid, entry, openAir, clamp, spark } = controller;
  const gain = (key: 'kp' | 'ki' | 'kd', unit: string): readonly string[] => {
    const scale = gainScale[key];
    return [key, number(pid[key] * (scale ?? 1)), scale === undefined ? unit : `× ${number(scale)} of ${number(pid[key])} ${unit}`];
  };
  const flagOf = (key: string): string => (result.settings.some((row) => row.key === key && row.flag !== null) ? ' (flagged)' : '');
  const rows: readonly (readonly string[])[] = [
    gain('kp', `${air}/rpm`), gain('ki', `${air}/(rpm·s)`), gain('kd', `${air}·s/rpm`),
    ['derivative filter', number(pid.derivativeFilterS), 's'],
    ['integral stands still within', number(pid.deadBandRpm), 'rpm'],
    ['loop closes below target +', `${number(entry.windowRpm)}${flagOf('controller.entry.window')}`, 'rpm'],
    ['and opens that much higher', number(entry.hysteresisRpm), 'rpm'],
    ['forced to close after', entry.forcedAfterS === null ? 'never' : number(entry.forcedAfterS), 's'],
    ['moving-car air', `${number(openAir.moving)}${flagOf('controller.openAir.moving')}`, air],
    ['dashpot air', `${number(openAir.dashpot)}${flagOf('controller.openAir.dashpot')}`, air],
    ['dashpot time', number(openAir.dashpotTimeS), 's'],
    ['both fade in', number(openAir.fadeS), 's'],
    ['lowest air', number(clamp.lowest), air],
    ['highest air', `${number(clamp.highest)}${flagOf('controller.clamp.highest')}`, air],
    ['spark trim', number(spark.rateDegPerRpm), '°/rpm'],
    ['its authority, either way', number(spark.authorityDeg), '°'],
  ];
  // two side by side: half the height
  const half = Math.ceil(rows.length / 2);
  return {
    kind: 'table', heads: ['setting', 'value', 'unit', 'setting', 'value', 'unit'], text: [0, 2, 3, 5],
    rows: rows.slice(0, half).map((row, i) => [...row, ...(rows[half + i] ?? ['', '', ''])]),
  };
}

function loads(result: SetupResult, air: string): SheetTable | null {
  const { loads: known } = result.scenario.controller;
  if (known.length === 0) return null;
  const commanded = (i: number): boolean => result.settings.some(({ key }) => key === `controller.loads.${i}.lead`);
  return {
    kind: 'table', heads: ['load', `air, ${air}`, 'speed-up, rpm', 'lead, s'], text: [0],
    rows: known.map((load, i) => {
      const flagged = result.settings.some(({ key, flag }) => key === `controller.loads.${i}.air` && flag !== null);
      return [`${load.name}${flagged ? ' (flagged)' : ''}`, number(load.air), number(load.speedUpRpm), commanded(i) || load.leadS > 0 ? number(load.leadS) : '–'];
    }),
  };
}

function drills(result: SetupResult): SheetTable {
  const cell = (value: number | null, digits = 0): string => (value === null ? '–' : value.toFixed(digits));
  return {
    kind: 'table', heads: ['drill, simulated', 'lowest, rpm', 'sag, rpm', 'flare, rpm', 'settles in, s', 'before', 'now'], text: [0, 5, 6],
    rows: result.drills.map(({ name, before, after }) => {
      const { lowestRpm, sagRpm, flareRpm, settlingTimeS } = after.scored.metrics;
      return [name, cell(lowestRpm), cell(sagRpm), cell(flareRpm), cell(settlingTimeS, 1), before.passes ? 'passes' : 'fails', after.passes ? 'passes' : 'FAILS'];
    }),
  };
}

/** The sheet of a set of settings. */
export function sheetOf(result: SetupResult, options: SheetOptions): Sheet {
  const { scenario, settings, corners } = result;
  const air = valveRange(scenario.valve).unit === 'step' ? 'steps' : '%';
  const degrees = options.fahrenheit ? '°F' : '°C';
  const temperature = (celsius: number): string => number(options.fahrenheit ? celsius * 1.8 + 32 : celsius, 3);
  const { engine } = scenario;
  const name = engine.model === 'mean-value' ? engine.name : 'regression model';
  const flags = settings.flatMap(({ key, flag }) => (flag === null ? [] : [`${key}: ${flag}`]));
  const failing = result.drills.filter(({ after }) => !after.passes).map(({ name: drill, after }) => `${drill}: ${after.verdict}`);
  const stalling = corners.filter(({ stalls }) => stalls.length > 0).map(({ name: corner, stalls }) => `${corner}: stalls in ${stalls.join(', ')}`);
  const loadTable = loads(result, air);
  return {
    title: options.title,
    blocks: [
      { kind: 'paragraph', text: `Idle settings for ${name === '' ? 'the engine' : name}, ${scenario.valve.kind} valve. Computed from ${options.file} on ${options.date} by tickover ${options.version}; input ${options.inputHash}.` },
      ...(result.ok ? [] : [
        { kind: 'paragraph', strong: true, text: 'Not finished: what stands here must be seen to before anyone drives off.' } as const,
        { kind: 'list', items: [...flags, ...failing, ...stalling] } as const,
      ]),
      { kind: 'heading', text: 'Type in', mayPart: true },
      againstCoolant(result, temperature, air, degrees),
      singles(result, options, air),
      ...(loadTable === null ? [] : [loadTable]),
      { kind: 'heading', text: 'On the engine, in this order', mayPart: true },
      sheetSteps(result, { air, temperature: (celsius) => `${temperature(celsius)} ${degrees}`, hotC: HOT_C }),
      { kind: 'heading', text: 'What to expect' },
      drills(result),
      ...(corners.length === 0 ? [] : [{
        kind: 'paragraph',
        text: `Tried as well with ${[...new Set(corners.map(({ name: corner }) => corner.replace(/ [−+].*/, '')))].join(', ')} a fifth lower and higher, one at a time: ` +
          (stalling.length === 0 ? 'no stall in any drill.' : `${stalling.join('; ')}.`),
      } as const]),
      { kind: 'heading', text: 'Cautions' },
      { kind: 'list', items: cautions() },
      { kind: 'heading', text: 'What the model takes for granted' },
      { kind: 'list', items: ASSUMPTIONS },
    ],
  };
}
