/**
 * The sheet to type in: its content, in blocks that Markdown and HTML lay out alike. Made to fit two pages.
 *
 * Whoever prints it passes in the date and the hash of the input; there is no clock here.
 */
import type { SheetSettings } from '../scenario/sheet.js';
import { valveRange } from '../scenario/table.js';
import { HOT_C } from '../setup/drills.js';
import type { SetupResult } from '../setup/result.js';
import { cautions } from './caution.js';
import { sheetNumber as number } from './sheet-number.js';
import { sheetSettings } from './sheet-settings.js';
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
  /** What one of our unit is in the reader's numbers; 1 where null. */
  readonly gainScale: SheetSettings['gainScale'];
}

export interface SheetTable {
  readonly kind: 'table';
  readonly heads: readonly string[];
  readonly rows: readonly (readonly string[])[];
  /** Columns whose content is text, at the left; numbers stand at the right. */
  readonly text: readonly number[];
  /** Columns whose cells stay in one line. */
  readonly whole: readonly number[];
  /** Two tables side by side, of the same widths. */
  readonly halves?: boolean;
}

export type SheetBlock =
  | SheetTable
  | { readonly kind: 'heading'; readonly text: string; /** What stands under it may go over to the next page. */ readonly mayPart?: boolean }
  | { readonly kind: 'paragraph'; readonly text: string; readonly strong?: boolean }
  | { readonly kind: 'list'; readonly items: readonly string[]; /** Two columns on paper. */ readonly narrow?: boolean };

export interface Sheet {
  readonly title: string;
  /** So many drills that a smaller type is wanted for two pages. */
  readonly dense: boolean;
  readonly blocks: readonly SheetBlock[];
}

/** A table of more drills than these may go over to the next page, and is set smaller. */
const FEW_DRILLS = 20;
const MEANING = 'Speeds in rpm, settling in s.';

const ASSUMPTIONS: readonly string[] = [
  'One cylinder stands for all; what goes on within a cycle is averaged, and cycles are alike unless roughness is given.',
  'Charge, torque and friction are laws with few numbers, assumed where the engine was not measured; friction without pumping, thicker with cold oil.',
  'Fuel follows the air at once unless a wall film is given; a cold engine wets its walls, and wants more air and fuel after the start than this says.',
  'The air is as warm and as dense as the scenario says; the coolant stands where a drill puts it unless warm-up is on.',
  'The drills are those listed. What was not tried is not proven.',
];

/** Drills as they went, two side by side: half the height. */
function drills(result: SetupResult): SheetTable {
  const heads = ['drill, simulated', 'lowest', 'sag', 'flare', 'settles', 'ok'];
  const cell = (value: number | null, digits = 0): string => (value === null ? '–' : value.toFixed(digits));
  const rows = result.drills.map(({ name, before, after }) => {
    const { lowestRpm, sagRpm, flareRpm, settlingTimeS } = after.scored.metrics;
    const ok = after.passes ? (before.passes ? 'yes' : 'yes*') : 'NO';
    return [name, cell(lowestRpm), cell(sagRpm), cell(flareRpm), cell(settlingTimeS, 1), ok];
  });
  const half = Math.ceil(rows.length / 2);
  return {
    kind: 'table', heads: [...heads, ...heads], text: [0, 5, 6, 11], whole: [], halves: true,
    rows: rows.slice(0, half).map((row, i) => [...row, ...(rows[half + i] ?? heads.map(() => ''))]),
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
  return {
    title: options.title,
    dense: result.drills.length > FEW_DRILLS,
    blocks: [
      { kind: 'paragraph', text: `Idle settings for ${name === '' ? 'the engine' : name}, ${scenario.valve.kind} valve. Computed from ${options.file} on ${options.date} by tickover ${options.version}; input ${options.inputHash}.` },
      ...(result.ok ? [] : [
        { kind: 'paragraph', strong: true, text: 'Not finished: what stands here must be seen to before anyone drives off.' } as const,
        { kind: 'list', items: [...flags, ...failing, ...stalling] } as const,
      ]),
      { kind: 'heading', text: 'Type in', mayPart: true },
      ...sheetSettings(result, options.gainScale, { air, degrees, temperature }),
      { kind: 'heading', text: 'What to expect', mayPart: result.drills.length > FEW_DRILLS },
      drills(result),
      ...(corners.length === 0 ? [] : [{
        kind: 'paragraph',
        text: `${MEANING}${result.drills.some(({ before }) => !before.passes) ? ' yes*: failed with the settings of the file.' : ''} Tried as well with ${[...new Set(corners.map(({ name: corner }) => corner.replace(/ [−+].*/, '')))].join(', ')} a fifth lower and higher, one at a time: ` +
          (stalling.length === 0 ? 'no stall in any drill.' : `${stalling.join('; ')}.`),
      } as const]),
      { kind: 'heading', text: 'On the engine, in this order' },
      sheetSteps(result, { air, temperature: (celsius) => `${temperature(celsius)} ${degrees}`, hotC: HOT_C }),
      { kind: 'heading', text: 'Cautions' },
      { kind: 'list', items: cautions(), narrow: true },
      { kind: 'heading', text: 'What the model takes for granted' },
      { kind: 'list', items: ASSUMPTIONS, narrow: true },
    ],
  };
}
