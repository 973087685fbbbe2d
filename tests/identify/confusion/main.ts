/**
 * `npm run confusion`: plants every fault in every engine, at every severity and seed, and puts the table into docs/diagnose.md
 * and the severities found into severities.json beside this file. Some ten minutes on one core. With `npm run confusion -- kept`
 * the severities of that file are taken as they are: do that when only the diagnosis has changed.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { type Calibration, confusion, page } from './table.js';

const FOLDER = 'tests/identify/confusion';
const PAGE = 'docs/diagnose.md';

const known = process.argv[2] === 'kept' ? (JSON.parse(readFileSync(`${FOLDER}/severities.json`, 'utf8')) as Calibration[]) : [];
const table = await confusion({ known }, (line) => console.log(line));
const text = page(table);
console.log(`\n${text}`);
writeFileSync(`${FOLDER}/severities.json`, `[\n${table.calibrations.map((c) => JSON.stringify({ ...c, x: Number(c.x.toFixed(6)), times: Number(c.times.toFixed(3)) })).join(',\n')}\n]\n`);
const before = readFileSync(PAGE, 'utf8');
writeFileSync(PAGE, before.replace(/(<!-- confusion -->)[\s\S]*?(<!-- end confusion -->)/, (_, start: string, end: string) => `${start}\n\n${text}\n\n${end}`));
