/** The reference of every key, as Markdown, from the tables. */
import type { CurveRow, Quantity, Row, Table } from '../parameter/table.js';
import type { Unit } from '../parameter/unit.js';
import { OWN_SECTIONS } from './own.js';
import { isAir, scenarioTable, SECTIONS, shownUnit } from './table.js';

const unitOf = (unit: Unit): string =>
  isAir(unit) ? `${shownUnit(unit, '%')} or ${shownUnit(unit, 'step')}` : shownUnit(unit, '%');
const cell = (text: string): string => text.replace(/\|/g, '\\|').replace(/\n/g, ' ');
const line = (cells: readonly string[]): string => `| ${cells.map(cell).join(' | ')} |`;
const code = (text: string): string => (text === '' ? '' : `\`${text}\``);

const defaultOf = (value: unknown): string =>
  value === 'required' ? '**required**' : value === null ? 'not given' : code(String(value));
const quantity = (row: Quantity): string[] => [
  unitOf(row.unit),
  defaultOf(row.default),
  `${row.min} … ${row.max}${row.integer ? ', whole' : ''}`,
];
const axis = ({ name, unit, min, max }: CurveRow['x']): string =>
  `${name} ${min} … ${max}${unitOf(unit) === '' ? '' : ` ${unitOf(unit)}`}`;

/** Unit, default and range of a row that is a single setting. */
function facts(row: Row): string[] {
  switch (row.kind) {
    case 'quantity':
      return quantity(row);
    case 'curve':
      return ['curve', code(JSON.stringify(row.default).replace(/,/g, ', ')), `${axis(row.x)}; ${axis(row.y)}`];
    case 'flag':
      return ['', code(row.default ? 'yes' : 'no'), 'yes, no'];
    case 'choice':
      return ['', defaultOf(row.default), row.options.join(', ')];
    case 'text':
      return ['text', row.default === '' ? '' : defaultOf(row.default), ''];
    case 'list':
      return ['list', 'none', `up to ${row.max}`];
    default:
      return ['', '', ''];
  }
}

function rowsOf(rows: Table, path: string): string[] {
  return Object.entries(rows).flatMap(([key, row]) => linesOf(row, `${path}${key}`));
}

function linesOf(row: Row, path: string): string[] {
  const head = line([code(path), ...facts(row), row.meaning, row.source ?? '']);
  switch (row.kind) {
    case 'group':
      return [head, ...rowsOf(row.rows, `${path}.`)];
    case 'variant': {
      const names = Object.keys(row.options);
      const tag = line([code(`${path}.${row.tag}`), '', defaultOf(row.default), names.join(', '), row.meaning, row.source ?? '']);
      return [
        tag,
        ...Object.entries(row.options).flatMap(([name, rows]) =>
          optionLines(rows, path, names.length > 1 ? `${row.tag}: ${name}` : ''),
        ),
      ];
    }
    case 'list':
      return [
        head,
        ...(row.of.kind === 'quantity'
          ? [line([code(`${path}.0`), ...quantity(row.of), row.of.meaning, row.of.source ?? ''])]
          : linesUnder(row.of, `${path}.0`)),
      ];
    default:
      return [head];
  }
}

/** Lines of a list's item, without one for the item itself where it is a group. */
const linesUnder = (row: Row, path: string): string[] =>
  row.kind === 'group' ? rowsOf(row.rows, `${path}.`) : linesOf(row, path);

/** Lines of one variant, each saying which it is of. */
const optionLines = (rows: Table, path: string, when: string): string[] =>
  rowsOf(rows, `${path}.`).map((text) => (when === '' ? text : text.replace(/^\| (`[^`]*`)/, `| $1 <br>with ${code(when)}`)));

const HEAD = [line(['key', 'unit', 'default', 'range', 'meaning', 'source']), line(['---', '---', '---', '---', '---', '---'])];

const capital = (text: string): string => `${text[0]!.toUpperCase()}${text.slice(1)}`;

/** A section; one that is a variant has a table for each. */
function section(name: string, row: Row): string[] {
  const head = [`### ${name}`, '', `${capital(row.meaning)}.`, ''];
  if (row.kind !== 'variant') return [...head, ...HEAD, ...linesUnder(row, name), ''];
  const tag = linesOf({ ...row, options: Object.fromEntries(Object.keys(row.options).map((option) => [option, {}])) }, name);
  const options = Object.entries(row.options).flatMap(([option, rows]) => [
    `#### ${name} with \`${row.tag}: ${option}\``,
    '',
    ...HEAD,
    ...rowsOf(rows, `${name}.`),
    '',
  ]);
  return [...head, ...HEAD, ...tag, '', ...options];
}

/** Every key of a scenario file, a table a section. */
export function referencePage(): string {
  return [
    '## Every key',
    '',
    'A bare number is in the unit of the table; text may say another, such as `5 lb ft^2`. Where the unit is `%` or `step`, it is that',
    'of the valve; defaults and ranges are written for 0 … 100 % and scale with the steps of a stepper. Items of lists count from 0.',
    'Each section may hold `from: other.yaml`, whose keys the others override. `drills`, a list, may stand in place of `drill`.',
    `A drill may hold ${OWN_SECTIONS.map((name) => `\`${name}\``).join(', ')} of its own, laid over those of its file.`,
    '',
    '### Top',
    '',
    ...HEAD,
    ...linesOf(scenarioTable.title, 'title'),
    ...linesOf(scenarioTable.notes, 'notes'),
    '',
    ...SECTIONS.flatMap((name) => section(name, scenarioTable[name])),
  ].join('\n');
}
