/**
 * The JSON Schema (2020-12) of scenario files, for editors to complete and check with.
 *
 * It is as strict as a schema can be and never stricter than the loader: it cannot convert units, so it judges bare numbers
 * alone; it does not know the valve, so rows in the valve's unit take what some valve would allow; and since a section may
 * come `from` a file which names the variant, a tag may be left out.
 */
import type { CurveRow, Quantity, Row, Table } from '../parameter/table.js';
import { stepperValve } from '../plant/valves/stepper.js';
import { OWN_SECTIONS } from './own.js';
import { isAir, scenarioTable, SECTIONS, shownUnit } from './table.js';

export type Json = { readonly [key: string]: unknown };

const PATH = { type: 'string', minLength: 1, description: 'another YAML file, relative to this one, whose keys these override' };

/** A number, then anything but more of a number: the unit is the loader's to read. */
const QUANTITY_TEXT =
  '^\\s*[-+−]?(0|[1-9][0-9]*|(0|[1-9][0-9]*)?\\.[0-9]+|[1-9][0-9]*\\.|0\\.)([eE][-+]?[0-9]+)?\\s*([A-Za-z%°µμ/(].*)?$';
const NUMBER_TEXT = '^\\s*[-+−]?(0|[1-9][0-9]*|(0|[1-9][0-9]*)?\\.[0-9]+|[1-9][0-9]*\\.|0\\.)([eE][-+]?[0-9]+)?\\s*$';

/** Fewest and most steps of a stepper, over 100: how far rows in the valve's unit scale. */
const { min: fewest, max: most } = stepperValve.parameters.steps;
const widest = (bound: number, out: -1 | 1): number => (bound * (bound * out > 0 ? most : fewest)) / 100;

type Ranged = Pick<Quantity, 'unit' | 'min' | 'max'>;

const bounds = ({ unit, min, max }: Ranged): Json =>
  isAir(unit) ? { minimum: widest(min, -1), maximum: widest(max, 1) } : { minimum: min, maximum: max };

const unitText = (row: Ranged): string => {
  const unit = isAir(row.unit)
    ? `${shownUnit(row.unit, '%')} (or ${shownUnit(row.unit, 'step')} with a stepper)`
    : shownUnit(row.unit, '%');
  return `${row.min} … ${row.max}${unit === '' ? '' : ` ${unit}`}${isAir(row.unit) ? ', in steps scaled by steps/100' : ''}`;
};

const number = (row: Ranged & { readonly integer?: boolean }): Json => ({
  anyOf: [
    { type: row.integer ? 'integer' : 'number', ...bounds(row) },
    { type: 'string', pattern: row.unit === '1' ? NUMBER_TEXT : QUANTITY_TEXT },
  ],
});

const describe = (row: Row, more = ''): string =>
  `${row.meaning}${more}${row.source === undefined ? '' : `. Source: ${row.source}`}`;

function quantity(row: Quantity): Json {
  const { anyOf } = number(row) as { anyOf: readonly Json[] };
  const usual = row.default === null || row.default === 'required' ? {} : { default: row.default };
  return {
    description: describe(row, `; ${unitText(row)}`),
    ...usual,
    anyOf: row.default === null ? [...anyOf, { type: 'null' }] : anyOf,
  };
}

function curve(row: CurveRow): Json {
  return {
    description: describe(
      row,
      `; pairs of ${row.x.name} (${unitText(row.x)}), ascending, and ${row.y.name} (${unitText(row.y)})`,
    ),
    default: row.default,
    type: 'array',
    minItems: 1,
    items: { type: 'array', prefixItems: [number(row.x), number(row.y)], minItems: 2, maxItems: 2 },
  };
}

/** @param from whether the mapping may come from a file */
function schemaOf(row: Row, from = false): Json {
  switch (row.kind) {
    case 'quantity':
      return quantity(row);
    case 'flag':
      return { description: describe(row), default: row.default, enum: [true, false, 'yes', 'no'] };
    case 'choice':
      return { description: describe(row), default: row.default, enum: row.options };
    case 'text':
      return {
        description: describe(row),
        ...(row.default === 'required' ? {} : { default: row.default }),
        type: row.default === '' ? ['string', 'null'] : 'string',
      };
    case 'curve':
      return curve(row);
    case 'group':
      return { description: describe(row), ...mapping(row.rows, from) };
    case 'variant':
      return {
        description: describe(row),
        anyOf: Object.entries(row.options).map(([name, rows]) => {
          const { properties, required, ...rest } = mapping(rows, from) as { properties: Json; required?: readonly string[] };
          const must = [...(row.default === 'required' ? [row.tag] : []), ...(required ?? [])];
          const tag = { const: name, description: row.meaning, ...(row.default === name ? { default: name } : {}) };
          return {
            title: name,
            ...rest,
            properties: { [row.tag]: tag, ...properties },
            ...(must.length > 0 ? { required: must } : {}),
          };
        }),
      };
    case 'list':
      return { description: describe(row), type: 'array', maxItems: row.max, items: schemaOf(row.of) };
  }
}

function mapping(rows: Table, from: boolean): Json {
  const required = Object.entries(rows)
    .filter(([, row]) => 'default' in row && row.default === 'required')
    .map(([key]) => key);
  return {
    type: 'object',
    properties: {
      ...(from ? { from: PATH } : {}),
      ...Object.fromEntries(Object.entries(rows).map(([key, row]) => [key, schemaOf(row)])),
    },
    ...(required.length > 0 ? { required } : {}),
    additionalProperties: false,
  };
}

/** JSON Schema of a scenario file. */
export function scenarioSchema(): object {
  const sections = Object.fromEntries(SECTIONS.map((name): [string, Json] => [name, schemaOf(scenarioTable[name], true)]));
  const own = Object.fromEntries(OWN_SECTIONS.map((name): [string, Json] => [name, { description: scenarioTable[name].meaning, $ref: `#/$defs/${name}` }]));
  const drill: Json = { ...sections.drill, properties: { ...(sections.drill?.properties as Json), ...own } };
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'tickover scenario',
    description:
      'An engine, its idle valve and controller, and what happens to them. A number stands for the documented unit; text may say another.',
    type: 'object',
    properties: {
      title: schemaOf(scenarioTable.title),
      notes: schemaOf(scenarioTable.notes),
      ...sections,
      ...own,
      drill,
      drills: {
        description: 'several drills, one scenario each; in place of drill',
        type: 'array',
        minItems: 1,
        maxItems: 200,
        items: drill,
      },
    },
    not: { required: ['drill', 'drills'] },
    additionalProperties: false,
    $defs: Object.fromEntries(OWN_SECTIONS.map((name) => [name, sections[name]])),
  };
}
