/** A run of our own as a recording: the columns that a recorder could give, a row every 50 ms, each the mean about it. */
import type { Trace } from '../../loop/trace.js';
import type { Scenario } from '../../scenario/index.js';
import type { LoadChannel, Recording } from './recording.js';

const PERIOD_S = 0.05;

type Drill = Pick<Scenario, 'drill' | 'controller'>;

/** Stretches in which a load that the controller knows is asked for, by the drill. */
function loadsOf({ drill, controller }: Drill, times: Float64Array): LoadChannel[] {
  return controller.loads.flatMap(({ name }) => {
    const events = drill.events.filter((event) => 'name' in event && event.name === name && ['load', 'machine', 'electrical'].includes(event.do));
    if (events.length === 0) return [];
    const on = new Float64Array(times.length);
    for (const event of [...events].sort((a, b) => a.at - b.at)) {
      const asked = event.do === 'machine' ? event.on : event.do === 'load' ? event.torque !== 0 || event.power !== 0 : event.do === 'electrical' && event.power !== 0;
      const hold = 'hold' in event && asked ? (event.hold ?? Number.POSITIVE_INFINITY) : Number.POSITIVE_INFINITY;
      times.forEach((t, k) => {
        if (t >= event.at - 1e-9) on[k] = asked && t < event.at + hold - 1e-9 ? 1 : 0;
      });
    }
    return [{ name, on }];
  });
}

/** 1 while pedal or neutral part engine and car. */
function clutchOf({ drill }: Drill, times: Float64Array): Float64Array {
  const { clutch, gear } = drill.start;
  const moves = [...drill.events].sort((a, b) => a.at - b.at);
  return Float64Array.from(times, (t) => {
    let [down, out] = [clutch === 'down', gear === 0];
    for (const event of moves) {
      if (event.at > t) break;
      if (event.do === 'clutch') down = event.pedal === 'down';
      if (event.do === 'gear') out = event.gear === 0;
    }
    return down || out ? 1 : 0;
  });
}

/**
 * @param scenario that the trace is of: its drill says when loads are asked for and the clutch moves
 * @param periodS of the rows; at least that of the trace
 */
export function recordingOfTrace(trace: Trace, scenario: Drill, name: string, periodS = PERIOD_S): Recording {
  const every = Math.max(1, Math.round(periodS / trace.recordS));
  const rows = Math.max(0, Math.floor((trace.rows - 1) / every) + 1);
  const half = every >> 1;
  const mean = (column: Float64Array): Float64Array =>
    Float64Array.from({ length: rows }, (_, k) => {
      const [from, to] = [Math.max(0, k * every - half), Math.min(trace.rows, k * every + half + 1)];
      let sum = 0;
      for (let i = from; i < to; i++) sum += column[i] as number;
      return sum / (to - from);
    });
  const there = (column: Float64Array): Float64Array => Float64Array.from({ length: rows }, (_, k) => column[k * every] as number);
  const { columns } = trace;
  const times = there(columns.timeS);
  return {
    name, rows, periodS: every * trace.recordS, startS: 0,
    speedRpm: mean(columns.speedRpm), targetRpm: there(columns.targetRpm),
    air: there(columns.air), airUnit: trace.airUnit, airLimits: trace.airLimits,
    mapKpa: mean(columns.mapKpa), sparkDeg: there(columns.sparkDeg), coolantC: there(columns.coolantC),
    throttlePct: there(columns.throttlePct), vehicleKmh: there(columns.vehicleKmh),
    clutch: clutchOf(scenario, times), loads: loadsOf(scenario, times), stalled: trace.stalled,
  };
}
