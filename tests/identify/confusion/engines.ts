/** The four shipped engines with healthy settings: base and load air from steady solves, gains that hold their drills. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { loadScenario, formatProblem, type Scenario } from '../../../src/scenario/index.js';
import { createBench, NO_DEMAND } from '../../../src/setup/bench.js';

/** Commands and tests run in the folder of the checkout. */
const SCENARIOS = join(process.cwd(), 'scenarios/');

export const ENGINES = ['three', 'four', 'six', 'eight'] as const;
export type EngineName = (typeof ENGINES)[number];

/** File of the engine, flow of its valve, g/s, torque of its compressor, N·m, target hot and cold, rpm, and gains. */
const KINDS: Readonly<Record<EngineName, { readonly file: string; readonly flow: number; readonly torque: number; readonly target: readonly [number, number]; readonly kp: number; readonly ki: number; readonly kd: number }>> = {
  three: { file: 'three-1.0', flow: 9, torque: 5, target: [850, 1250], kp: 0.012, ki: 0.014, kd: 0.003 },
  four: { file: 'four-1.8', flow: 15, torque: 8, target: [800, 1150], kp: 0.011, ki: 0.014, kd: 0.003 },
  six: { file: 'six-3.5', flow: 22, torque: 15, target: [700, 1050], kp: 0.012, ki: 0.014, kd: 0.004 },
  eight: { file: 'eight-5.7', flow: 36, torque: 24, target: [650, 950], kp: 0.013, ki: 0.014, kd: 0.005 },
};

export interface Healthy {
  readonly name: EngineName;
  readonly torque: number;
  readonly targetRpm: number;
  /** A scenario with a drill as text of YAML and settings put in, `key=value` a line; on a stepper of so many steps. */
  make(drill: string, more?: string, steps?: number | null): Promise<Scenario>;
  /** Air that the load needs once settled, air that holds the idle hot and cold, %. */
  readonly loadAir: number;
  readonly hot: number;
  readonly cold: number;
  readonly base: readonly (readonly [number, number])[];
  readonly gains: { readonly kp: number; readonly ki: number; readonly kd: number };
}

const round = (x: number): number => Number(x.toPrecision(4));

async function parse(text: string, set: readonly string[]): Promise<Scenario> {
  const loaded = await loadScenario('case.yaml', { set, read: (path) => (path === 'case.yaml' ? text : readFileSync(`${SCENARIOS}${path}`, 'utf8')) });
  if (loaded.scenarios === null) throw new Error(loaded.problems.map(formatProblem).join('\n'));
  return loaded.scenarios[0] as Scenario;
}

const LEAD_S = 0.2;
export const COLD_C = -10;

export async function healthy(name: EngineName): Promise<Healthy> {
  const kind = KINDS[name];
  const { torque, target, kp, ki, kd } = kind;
  const head = (valve: 'solenoid' | 'stepper'): string => `
engine: {from: engines/${kind.file}.yaml${name === 'eight' ? ', crank: {starterTorque: 210 N m}' : ''}}
valve: {from: valves/${valve}.yaml, size: {by: flow, flow: ${kind.flow} g/s, depression: 60 kPa}STEPS}
`;
  const first = await parse(`${head('solenoid').replace('STEPS', '')}drill: {name: none, events: []}`, []);
  const bench = createBench(first);
  const at = (c: number): number => target[0] + ((target[1] - target[0]) * Math.max(0, 80 - c)) / (80 - COLD_C);
  const points = [COLD_C, 0, 20, 40, 60, 80].map((c) => [c, bench.airAt(c, at(c))] as const);
  const [hot, cold] = [bench.airAt(90, target[0]), bench.airAt(COLD_C, target[1])];
  const loadAir = bench.airAt(90, target[0], { ...NO_DEMAND, torque }) - hot;
  return {
    name, torque, targetRpm: target[0], loadAir, hot, cold, base: points, gains: { kp, ki, kd },
    make: async (drill, more = '', steps = null) => {
      const valve = steps === null ? 'solenoid' : 'stepper';
      const scale = steps === null ? 1 : steps / 84;
      const lift = valve === 'stepper' ? 8 : 0;
      const air = (x: number): number => round((x - lift) * scale);
      const settings = `
controller:
  target: [[${COLD_C}, ${target[1]}], [80, ${target[0]}]]
  base: [${points.map(([c, a]) => `[${c}, ${air(a)}]`).join(', ')}]
  start:
    cranking: [[${COLD_C}, ${air(cold * 1.25)}], [80, ${air(hot * 1.35)}]]
    after: [[${COLD_C}, ${round(cold * 0.1 * scale)}], [80, ${round(hot * 0.1 * scale)}]]
    duration: [[${COLD_C}, 12], [80, 8]]
  loads: [{name: compressor, air: ${round(loadAir * scale)}, lead: ${LEAD_S} s}]
  entry: {window: 150 rpm, hysteresis: 100 rpm, forcedAfter: 6 s}
  openAir: {moving: ${round(hot * (name === 'six' || name === 'eight' ? 0.14 : 0.02) * scale)}, dashpot: ${round(hot * 0.3 * scale)}, dashpotTime: 0.8 s}
  clamp: {lowest: ${air(steps === null ? hot * 0.55 : 8 + (hot - 8) * 0.4)}, highest: ${steps ?? 100}}
  pid: {kp: ${valve === 'stepper' ? 0 : kp}, ki: ${round(ki * scale)}, kd: ${valve === 'stepper' ? 0 : kd}${valve === 'stepper' ? ', deadBand: 15 rpm' : ''}}
  spark: {rate: 0.02 deg/rpm}
`;
      return parse(`${head(valve).replace('STEPS', steps === null ? '' : `, steps: ${steps} step`)}${settings}${drill}`, more.split('\n').map((line) => line.trim()).filter((line) => line !== ''));
    },
  };
}
