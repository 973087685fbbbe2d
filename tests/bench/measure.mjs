/**
 * One measurement of the compiled library, in a process of its own so that none sees what V8 learnt from another; prints
 * JSON. Called by bench.mjs: `node measure.mjs FOLDER WHAT`.
 *
 *     plant       ns per step, one plant through the drill over and over
 *     plants      ns per step, a new plant for each drill, as in a sweep
 *     allocation  bytes per step, of both
 *     scenarios   whole 15 s scenarios per second
 */
import inspector from 'node:inspector/promises';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { Bench } from 'tinybench';
import { drill, STEPS } from './drill.mjs';

const [folder, what] = process.argv.slice(2);
const load = (file) => import(pathToFileURL(join(folder, file)).href);
const { fill } = await load('parameter/fill.js');
const { engineTable } = await load('plant/engine.js');
const { valveTable } = await load('plant/valves/index.js');
const { createPlant } = await load('plant/plant.js');

const engine = fill(engineTable);
const { valve } = fill({ valve: valveTable });
const newPlant = () => createPlant(engine, valve, { step: 0.001 });

/** Least time of a call, ms; the compiler has long come to rest when it is taken. @param before called before each, untimed */
function least(call, before = () => undefined) {
  const bench = new Bench({ time: 500, iterations: 100, warmupTime: 500, warmupIterations: 150 });
  bench.add('call', call, { beforeEach: before });
  bench.runSync();
  const { result } = bench.tasks[0];
  if (result.error) throw result.error;
  return result.latency.min;
}

/** Times the drill. @param many whether each has a plant of its own */
function timePlants(many) {
  let plant = newPlant();
  const ms = least(
    () => drill(plant),
    () => {
      if (many) plant = newPlant();
    },
  );
  return { nsPerStep: (ms * 1e6) / STEPS, running: plant.engine() === 'running', state: [...plant.state] };
}

/** Bytes allocated per step, by the sampling heap profiler, and where. */
async function allocation(many) {
  const DRILLS = 40;
  let plant = newPlant();
  for (let i = 0; i < 150; i++) {
    if (many) plant = newPlant();
    drill(plant);
  }
  const session = new inspector.Session();
  session.connect();
  await session.post('HeapProfiler.startSampling', { samplingInterval: 4096, includeObjectsCollectedByMinorGC: true, includeObjectsCollectedByMajorGC: true });
  for (let i = 0; i < DRILLS; i++) drill(plant);
  const { profile } = await session.post('HeapProfiler.stopSampling');
  session.disconnect();
  const places = new Map();
  const add = ({ callFrame, selfSize, children }) => {
    const place = `${callFrame.functionName || '(anonymous)'}, ${callFrame.url.split('/').pop()}:${callFrame.lineNumber + 1}`;
    if (callFrame.url.startsWith('file:')) places.set(place, (places.get(place) ?? 0) + selfSize / (DRILLS * STEPS));
    children.forEach(add);
  };
  add(profile.head);
  return {
    bytes: [...places.values()].reduce((sum, bytes) => sum + bytes, 0),
    places: [...places].filter(([, bytes]) => bytes > 0.5).sort((a, b) => b[1] - a[1]),
  };
}

async function scenarios() {
  const { simulate } = await load('loop/simulate.js');
  const { modelTable } = await load('plant/models.js');
  const { controllerTable } = await load('controller/parameters.js');
  const { drillTable, runTable } = await load('loop/parameters.js');
  const events = [{ do: 'load', at: 5, name: 'load', torque: 8, hold: 5 }];
  const setup = fill(
    { engine: modelTable, valve: valveTable, controller: groupOf(controllerTable), drill: groupOf(drillTable), run: groupOf(runTable) },
    { drill: { events } },
  );
  let trace = null;
  const ms = least(() => {
    trace = simulate(setup);
  });
  if (trace.stalled || trace.end.atS !== 15) throw new Error(`the load drill ended at ${trace.end.atS} s: ${trace.end.because}`);
  return { perSecond: 1000 / ms };
}

const groupOf = (rows) => ({ kind: 'group', rows, meaning: '' });

const MEASURES = { plant: () => timePlants(false), plants: () => timePlants(true), allocation: () => allocation(false), allocations: () => allocation(true), scenarios };
console.log(JSON.stringify(await MEASURES[what]()));
