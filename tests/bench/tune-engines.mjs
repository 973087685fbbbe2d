/**
 * Every engine with both valves, tuned as `tickover tune` does by default and set against the published rules:
 *
 *     node tests/bench/tune-engines.mjs [NAME…] [--budget SECONDS] [--jobs N]     e.g. 'four, solenoid'
 *
 * One row an engine: worst-case score of the answer, of air alone, of the best rule with the spark as in the file (no trim), with SIMC's
 * spark rate and with the tuned one; the limits that the answer breaks, if it does. A rule counts when it keeps every limit; one that
 * keeps all but settling stands there with its score and a star.
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
const { idleScenario, tune } = await from('search/tune/tune.js');
const { tuneCorners } = await from('search/tune/corners.js');
const { createReferee } = await from('search/tune/referee.js');

const TARGETS = { three: '[[-20, 1400], [20, 1150], [60, 920], [80, 850]]', six: '[[-20, 1200], [20, 1000], [60, 780], [80, 700]]', eight: '[[-20, 1100], [20, 950], [60, 720], [80, 650]]' };
/** File, flow of the valve wide open, torque of the load and of the steering pulse. */
const ENGINES = { four: ['four-1.8', 9, 8, 9], three: ['three-1.0', 5.5, 4.5, 5], six: ['six-3.5', 16, 8, 9], eight: ['eight-5.7', 25, 8, 9] };

/** Without help the eight stalls in the free-rev whatever its gains: what `setup` computes for its return, on either valve. */
const RETURN = {
  eight: { solenoid: ['6 %', '16.5 %', '100 rpm', 20], stepper: ['25 step', '23 step', '150 rpm', 29] },
};
const returning = (name, valve) => {
  const [dashpot, lowest, hysteresis, base] = RETURN[name]?.[valve] ?? [];
  return dashpot === undefined ? '' : `  openAir: {dashpot: ${dashpot}, dashpotTime: 0.6 s, fade: 1 s}\n  entry: {window: 50 rpm, hysteresis: ${hysteresis}, forcedAfter: 2.5 s}\n  clamp: {lowest: ${lowest}}\n  base: [[80, ${base}]]\n`;
};

const text = (name, valve) => {
  const [file, flow, load, pulse] = ENGINES[name];
  return `
title: ${name}, ${valve}
engine: {from: engines/${file}.yaml}
valve: {from: valves/${valve}.yaml, size: {by: flow, flow: ${flow} g/s, depression: 60 kPa}}
controller:
  from: controllers/${valve}.yaml
${TARGETS[name] === undefined ? '' : `  target: ${TARGETS[name]}\n`}${returning(name, valve)}
drills:
  - {name: load, events: [{do: load, at: 2 s, name: load, torque: ${load} N m, rise: 50 ms}, {do: load, at: 9 s, name: load}]}
  - {name: steering, events: [{do: load, at: 2 s, name: steering, torque: ${pulse} N m, rise: 0.1 s, hold: 1.2 s}]}
  - {from: drills/free-rev.yaml}
`;
};

const workerUrl = pathToFileURL(join(folder, 'search/worker.js'));
const limits = { msNominal: 1.6, msCorner: 2, settlingS: 3, huntingRpm: 25 };
const cell = (value) => (value === undefined || value === null ? '–' : value.toFixed(3));
try {
  console.log('engine | tuned | kp ki kd dead band rate | Ms as described, worst, trim off | air alone | rule, no trim | rule, SIMC spark | rule, tuned spark | kept?');
  for (const name of Object.keys(ENGINES)) {
    for (const valve of ['solenoid', 'stepper']) {
      const title = `${name}, ${valve}`;
      if (positionals.length > 0 && !positionals.includes(title)) continue;
      const scenarios = await loadScenarioOrThrow('suite.yaml', { read: (path) => (path === 'suite.yaml' ? text(name, valve) : readFileSync(join(ROOT, 'scenarios', path), 'utf8')) });
      const result = await tune({ scenarios, terms: null, airOnly: false, uncertain: [], further: [], limits, budgetS: Number(said.budget), seed: 1, jobs: Number(said.jobs), workerUrl });
      const judged = stageOf(result).best?.judged ?? null;
      if (judged === null) {
        console.log(`${title} | every set stalls`);
        continue;
      }
      const referee = await createReferee({ scenarios, idle: idleScenario(scenarios), corners: tuneCorners(scenarios, []), keys: result.keys, limits: { ...limits, settlingS: null }, jobs: Number(said.jobs), workerUrl });
      const order = referee.course.scenarios.map((_, run) => run);
      const rule = async (rateFrom) => {
        const these = result.rules.filter((each) => each.rateFrom === rateFrom && each.row.gains !== null);
        const best = (sets) => sets.filter(({ by }) => by?.holds === true).sort((a, b) => a.by.finish.score - b.by.finish.score)[0];
        const told = ({ row, by }, star) => `${row.name} ${cell(by.finish.score)}${star} (${((100 * judged.finish.score) / by.finish.score).toFixed(0)} %)`;
        const able = best(these.map((each) => ({ row: each.row, by: each.judged })));
        if (able !== undefined) return told(able, '');
        const sets = these.map(({ row: { gains }, rate }) => result.terms === 'i' ? [0, gains.ki, 0, judged.values[3], rate] : [gains.kp, gains.ki, gains.kd, judged.values[3], rate]);
        const slow = best((await referee.judge(sets, { order, onlyHolding: true })).map((by, i) => ({ row: these[i].row, by })));
        return slow === undefined ? 'none' : told(slow, '*');
      };
      const air = result.air.best?.judged ?? null;
      console.log([
        title, cell(judged.finish.score), judged.values.join(' '), [judged.msNominal, judged.msWorst, result.msWithoutSpark].map((ms) => ms?.toFixed(2) ?? '–').join(' '),
        air === null ? 'stalls' : `${cell(air.finish.score)}${air.holds ? '' : `: ${brokenLimits(result, air).join('; ')}`}`, await rule('this file'), await rule('SIMC'), await rule('tuned'),
        judged.holds ? 'yes' : brokenLimits(result, judged).join('; '),
      ].join(' | '));
      await referee.close();
    }
  }
} finally {
  remove();
}
