/**
 * Every engine with both valves, tuned as `tickover tune` does by default and set against the published rules:
 *
 *     node tests/bench/tune-engines.mjs [NAME…] [--budget SECONDS] [--jobs N]     e.g. 'four, solenoid'
 *
 * One row an engine: worst-case score of the answer, of air alone, of the best rule that keeps the limits with the spark as in the
 * file (no trim), with SIMC's spark rate and with the tuned one; the limits that the answer breaks, if it does.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { pathToFileURL } from 'node:url';
import { compiled, ROOT } from './library.mjs';

const { values: said, positionals } = parseArgs({ allowPositionals: true, options: { budget: { type: 'string', default: '50000' }, jobs: { type: 'string', default: '2' } } });
const { folder, remove } = compiled();
const from = (path) => import(pathToFileURL(join(folder, path)).href);
const { loadScenarioOrThrow } = await from('scenario/index.js');
const { brokenLimits } = await from('report/tune-words.js');
const { stageOf } = await from('search/tune/result.js');
const { tune } = await from('search/tune/tune.js');

const TARGETS = { three: '[[-20, 1400], [20, 1150], [60, 920], [80, 850]]', six: '[[-20, 1200], [20, 1000], [60, 780], [80, 700]]', eight: '[[-20, 1100], [20, 950], [60, 720], [80, 650]]' };
/** File, flow of the valve wide open, torque of the load and of the steering pulse. */
const ENGINES = { four: ['four-1.8', 9, 8, 9], three: ['three-1.0', 5.5, 4.5, 5], six: ['six-3.5', 16, 8, 9], eight: ['eight-5.7', 25, 8, 9] };

const text = (name, valve) => {
  const [file, flow, load, pulse] = ENGINES[name];
  return `
title: ${name}, ${valve}
engine: {from: engines/${file}.yaml}
valve: {from: valves/${valve}.yaml, size: {by: flow, flow: ${flow} g/s, depression: 60 kPa}}
controller:
  from: controllers/${valve}.yaml
${TARGETS[name] === undefined ? '' : `  target: ${TARGETS[name]}\n`}
drills:
  - {name: load, events: [{do: load, at: 2 s, name: load, torque: ${load} N m, rise: 50 ms}, {do: load, at: 9 s, name: load}]}
  - {name: steering, events: [{do: load, at: 2 s, name: steering, torque: ${pulse} N m, rise: 0.1 s, hold: 1.2 s}]}
  - {from: drills/free-rev.yaml}
`;
};

const limits = { msNominal: 1.6, msCorner: 2, settlingS: 3, huntingRpm: 25 };
const cell = (value) => (value === undefined || value === null ? '–' : value.toFixed(3));
try {
  console.log('engine | tuned | kp ki kd dead band rate | Ms as described, worst, trim off | air alone | rule, no trim | rule, SIMC spark | rule, tuned spark | kept?');
  for (const name of Object.keys(ENGINES)) {
    for (const valve of ['solenoid', 'stepper']) {
      const title = `${name}, ${valve}`;
      if (positionals.length > 0 && !positionals.includes(title)) continue;
      const scenarios = await loadScenarioOrThrow('suite.yaml', { read: (path) => (path === 'suite.yaml' ? text(name, valve) : readFileSync(join(ROOT, 'scenarios', path), 'utf8')) });
      const result = await tune({ scenarios, terms: null, airOnly: false, uncertain: [], further: [], limits, budgetS: Number(said.budget), seed: 1, jobs: Number(said.jobs), workerUrl: new URL(pathToFileURL(join(folder, 'search/worker.js')).href) });
      const judged = stageOf(result).best?.judged ?? null;
      if (judged === null) {
        console.log(`${title} | every set stalls`);
        continue;
      }
      const rule = (rateFrom) => {
        const able = result.rules.filter((each) => each.rateFrom === rateFrom && each.judged?.holds === true).sort((a, b) => a.judged.finish.score - b.judged.finish.score);
        return able.length === 0 ? 'none' : `${able[0].row.name} ${cell(able[0].judged.finish.score)} (${((100 * judged.finish.score) / able[0].judged.finish.score).toFixed(0)} %)`;
      };
      const air = result.air.best?.judged ?? null;
      console.log([
        title, cell(judged.finish.score), judged.values.join(' '), [judged.msNominal, judged.msWorst, result.msWithoutSpark].map((ms) => ms?.toFixed(2) ?? '–').join(' '),
        air === null ? 'stalls' : `${cell(air.finish.score)}${air.holds ? '' : `: ${brokenLimits(result, air).join('; ')}`}`, rule('this file'), rule('SIMC'), rule('tuned'),
        judged.holds ? 'yes' : brokenLimits(result, judged).join('; '),
      ].join(' | '));
    }
  }
} finally {
  remove();
}
