/** A recording plan, for a terminal and as blocks of a page. */
import type { Plan, PlanStep } from '../identify/protocol/index.js';
import { cautions } from './caution.js';
import { palette } from './glyphs.js';
import type { Sheet, SheetBlock } from './sheet.js';
import { clean, wrap } from './text.js';

const rpm = (value: number): string => `${Math.round(value)} rpm`;
const expected = ({ expects }: PlanStep): string | null => (expects === null ? null : `on the model the speed stays between ${rpm(expects.lowestRpm)} and ${rpm(expects.highestRpm)}`);

const before = (plan: Plan): readonly string[] => [
  `Record, at 10 rows a second or more: ${plan.channels.join(', ')}.`,
  `Engine hot unless it says otherwise. Target ${rpm(plan.targetRpm)}, stalls at ${rpm(plan.stallRpm)}; break off below ${rpm(plan.abortBelowRpm)}.`,
  'Leave ten quiet seconds before the first trial and after each one. One log for all of it is best.',
];

function lines(step: PlanStep): readonly (readonly [string, string])[] {
  const model = expected(step);
  return [
    ['Tells', step.tells],
    ...step.does.map((text, i) => [i === 0 ? 'Do' : '', text] as const),
    ...(model === null ? [] : [['Expect', model] as const]),
    ...(step.watch === '' ? [] : [['Watch', step.watch] as const]),
    ...(step.does.length === 0 ? [] : [['Stop if', step.abort] as const]),
    ...(step.note === null ? [] : [['Note', step.note] as const]),
  ];
}

const LABEL = 9;

export function protocolPage(plan: Plan, { columns, colour }: { readonly columns: number; readonly colour: boolean }): readonly string[] {
  const paint = palette(colour);
  return [
    ...before(plan).flatMap((text) => wrap(clean(text), columns, 2)),
    ...plan.steps.flatMap((step, i) => [
      '', paint.bold(`${i + 1}. ${clean(step.name)}`),
      ...lines(step).flatMap(([label, text]) => wrap(clean(text), columns - LABEL - 2).map((line, k) => `  ${(k === 0 ? label : '').padEnd(LABEL)}${line}`)),
    ]),
    '', paint.bold('Before you begin'),
    ...cautions().flatMap((text) => wrap(`- ${text}`, columns - 2, 2).map((line) => `  ${line}`)),
  ];
}

/** The same as a page. */
export function protocolSheet(plan: Plan, title: string): Sheet {
  const blocks: SheetBlock[] = [
    { kind: 'heading', text: 'Before you begin' }, { kind: 'list', items: cautions() },
    { kind: 'heading', text: 'The recording' }, { kind: 'list', items: before(plan) },
    ...plan.steps.flatMap((step, i): SheetBlock[] => [
      { kind: 'heading', text: `${i + 1}. ${step.name}` },
      { kind: 'list', items: lines(step).map(([label, text]) => (label === '' ? text : `${label}: ${text}`)) },
    ]),
  ];
  return { title, dense: false, blocks };
}
