/** The tables to type in: each number with its few words of why and the drill that proves it. */
import { interpolate } from '../numerics/curve.js';
import type { Curve } from '../parameter/table.js';
import type { SetupResult, SetupRow } from '../setup/result.js';
import type { SheetOptions, SheetTable } from './sheet.js';
import { sheetNumber as number } from './sheet-number.js';

/** How the reader's units are written. */
export interface SheetUnits {
  /** Of the air. */
  readonly air: '%' | 'steps';
  /** `°C` or `°F`. */
  readonly degrees: string;
  temperature(celsius: number): string;
}

const WHY = ['why', 'proven by'] as const;
const AS_GIVEN: readonly [string, string] = ['as the file says', 'every drill'];

/** Why and proof of the first of these keys that was computed. */
function reason({ settings }: SetupResult, ...keys: readonly string[]): readonly [string, string] {
  const row = settings.find(({ key }) => keys.includes(key));
  return row === undefined ? AS_GIVEN : [row.brief, proof(row)];
}

/** The drill that proves a row, and the number of the others that do. */
function proof({ provenBy }: SetupRow): string {
  const [first = '', ...more] = provenBy.split('; ');
  return first === 'none' ? '–' : more.length === 0 ? first : `${first} +${more.length}`;
}

const isFlagged = ({ settings }: SetupResult, key: string): boolean => settings.some((row) => row.key === key && row.flag !== null);
const flagOf = (result: SetupResult, key: string): string => (isFlagged(result, key) ? ' (flagged)' : '');

/** Points of several curves over all their coolants; between points each is straight, so that nothing is lost. */
function againstCoolant(result: SetupResult, { air, degrees, temperature }: SheetUnits): SheetTable {
  const { controller } = result.scenario;
  const { start, spark } = controller;
  const step = air === '%' ? 0.1 : 1;
  const curves: readonly (readonly [string, Curve, number, string])[] = [
    ['target, rpm', controller.targetRpm, 10, 'controller.target'],
    [`base air, ${air}`, controller.base, step, 'controller.base'],
    [`cranking air, ${air}`, start.cranking, step, 'controller.start.cranking'],
    [`air after start, ${air}`, start.after, step, 'controller.start.after'],
    ['which is gone in, s', start.durationS, 0.5, 'controller.start.duration'],
    ['spark, °BTDC', spark.baseDeg, 0.5, 'controller.spark.base'],
  ];
  const coolants = [...new Set(curves.flatMap(([, { x }]) => x))].sort((a, b) => a - b);
  return {
    kind: 'table',
    heads: [`coolant, ${degrees}`, ...coolants.map(temperature), ...WHY],
    rows: curves.map(([name, curve, multiple, key]) => [
      `${name}${flagOf(result, key)}`,
      ...coolants.map((at) => number(curve.x.includes(at) ? interpolate(curve, at) : Math.round(interpolate(curve, at) / multiple) * multiple)),
      ...reason(result, key),
    ]),
    text: [0, coolants.length + 1, coolants.length + 2], whole: [0, coolants.length + 2],
  };
}

function againstIntake(result: SetupResult, { air, degrees, temperature }: SheetUnits): SheetTable {
  const { x, y } = result.scenario.controller.intakeAir;
  return {
    kind: 'table', heads: [`intake air, ${degrees}`, ...x.map(temperature), ...WHY], text: [0, x.length + 1, x.length + 2], whole: [0],
    rows: [[`air added, ${air}`, ...y.map((value) => number(value)), ...reason(result, 'controller.intakeAir')]],
  };
}

function singles(result: SetupResult, gainScale: SheetOptions['gainScale'], { air }: SheetUnits): SheetTable {
  const { pid, entry, openAir, clamp, spark } = result.scenario.controller;
  type Line = readonly [name: string, value: string, unit: string, key: string];
  const gain = (key: 'kp' | 'ki' | 'kd', unit: string): Line => {
    const scale = gainScale[key];
    return [key, number(pid[key] * (scale ?? 1)), scale === null ? unit : `× ${number(scale)} of ${number(pid[key])} ${unit}`, `controller.pid.${key}`];
  };
  const lines: readonly Line[] = [
    gain('kp', `${air}/rpm`), gain('ki', `${air}/(rpm·s)`), gain('kd', `${air}·s/rpm`),
    ['derivative filter', number(pid.derivativeFilterS), 's', 'controller.pid.derivativeFilter'],
    ['integral stands still within', number(pid.deadBandRpm), 'rpm', 'controller.pid.deadBand'],
    ['loop closes below target +', number(entry.windowRpm), 'rpm', 'controller.entry.window'],
    ['and opens that much higher', number(entry.hysteresisRpm), 'rpm', 'controller.entry.hysteresis'],
    ['forced to close after', entry.forcedAfterS === null ? 'never' : number(entry.forcedAfterS), 's', 'controller.entry.forcedAfter'],
    ['moving-car air', number(openAir.moving), air, 'controller.openAir.moving'],
    ['dashpot air', number(openAir.dashpot), air, 'controller.openAir.dashpot'],
    ['dashpot time', number(openAir.dashpotTimeS), 's', 'controller.openAir.dashpotTime'],
    ['both fade in', number(openAir.fadeS), 's', 'controller.openAir.fade'],
    ['lowest air', number(clamp.lowest), air, 'controller.clamp.lowest'],
    ['highest air', number(clamp.highest), air, 'controller.clamp.highest'],
    ['spark trim', number(spark.rateDegPerRpm), '°/rpm', 'controller.spark.rate'],
    ['its authority, either way', number(spark.authorityDeg), '°', 'controller.spark.authority'],
  ];
  return {
    kind: 'table', heads: ['setting', 'value', 'unit', ...WHY], text: [0, 2, 3, 4], whole: [0],
    rows: lines.map(([name, value, unit, key]) => [name, `${value}${flagOf(result, key)}`, unit, ...reason(result, key)]),
  };
}

function loads(result: SetupResult, { air }: SheetUnits): readonly SheetTable[] {
  const { loads: known } = result.scenario.controller;
  if (known.length === 0) return [];
  const commanded = (i: number): boolean => result.settings.some(({ key }) => key === `controller.loads.${i}.lead`);
  return [{
    kind: 'table', heads: ['load', `air, ${air}`, 'speed-up, rpm', 'lead, s', ...WHY], text: [0, 4, 5], whole: [0, 5],
    rows: known.map((load, i) => {
      const [why, by] = reason(result, `controller.loads.${i}.air`);
      const lead = commanded(i) ? `; lead: ${reason(result, `controller.loads.${i}.lead`)[0]}` : '';
      return [
        `${load.name}${flagOf(result, `controller.loads.${i}.air`)}`, number(load.air), number(load.speedUpRpm),
        commanded(i) || load.leadS > 0 ? number(load.leadS) : '–', `${why}${lead}`, by,
      ];
    }),
  }];
}

/** Everything that is typed in: tables, single numbers, loads. */
export const sheetSettings = (result: SetupResult, gainScale: SheetOptions['gainScale'], units: SheetUnits): readonly SheetTable[] => [
  againstCoolant(result, units), againstIntake(result, units), singles(result, gainScale, units), ...loads(result, units),
];
