/**
 * Readings that no engine can give: jumps faster than inertia, heat or air allow, and values that stand where they must move.
 * Bounds are common practice, no source: a crank with the throttle wide open gains some 6000 rpm/s, and 0 is no speed of an
 * engine that runs before and after; coolant moves by less than 1 °C/s.
 */
import { atS, type Finding, rpm } from './finding.js';
import { IDLE, type Phases } from './phases.js';
import { quantile, type Recording, timeAt } from './recording.js';

const SPIKE_SHARE = 0.3;
/** There and back at once, rpm/s. */
const CRANK_RPM_S = 2200;
const SPIKE_S = 0.35;
const COOLANT_JUMP_C = 4;
const COOLANT_S = 1.2;
/** Speed that moves by this much takes the manifold along, rpm. */
const MOVES_RPM = 45;

/** Rows of the speed that stand out from both sides by more than a crank can do and come back at once. */
export function speedSpikes({ speedRpm, rows, periodS }: Pick<Recording, 'speedRpm' | 'rows' | 'periodS'>): Uint8Array {
  const spike = new Uint8Array(rows);
  const longest = Math.max(1, Math.round(SPIKE_S / periodS));
  for (let k = 1; k < rows - 1; k++) {
    const before = speedRpm[k - 1] as number;
    if (before < 300) continue;
    let end = k;
    while (end < rows && end - k < longest && Math.abs((speedRpm[end] as number) - before) > SPIKE_SHARE * before) end++;
    if (end === k || end >= rows || end - k > longest) continue;
    const [jump, back] = [Math.abs((speedRpm[k] as number) - before), Math.abs((speedRpm[end] as number) - (speedRpm[end - 1] as number))];
    if (Math.abs((speedRpm[end] as number) - before) < 0.2 * before && Math.min(jump, back) / periodS > CRANK_RPM_S) spike.fill(1, k, end);
  }
  return spike;
}

/** The speed with its spikes bridged by straight lines. */
export function withoutSpikes(recording: Recording, spike: Uint8Array): Recording {
  if (!spike.includes(1)) return recording;
  const speedRpm = recording.speedRpm.slice();
  for (let k = 1; k < recording.rows; k++) {
    if (spike[k] === 0) continue;
    let end = k;
    while (end < recording.rows && spike[end] === 1) end++;
    const [a, b] = [speedRpm[k - 1] as number, speedRpm[Math.min(end, recording.rows - 1)] as number];
    for (let i = k; i < end; i++) speedRpm[i] = a + ((b - a) * (i - k + 1)) / (end - k + 1);
    k = end;
  }
  return { ...recording, speedRpm };
}

function jumps(values: Float64Array, least: number, span: number): readonly number[] {
  const rows: number[] = [];
  for (let k = span; k < values.length; k++) {
    if (Math.abs((values[k] as number) - (values[k - span] as number)) > least && (rows.length === 0 || k - (rows.at(-1) as number) > 2 * span)) rows.push(k);
  }
  return rows;
}

/** @param spike as `speedSpikes` found them in the recording as it was read */
export function findSensors(recording: Recording, phases: Phases, spike: Uint8Array, raw: Float64Array): readonly Finding[] {
  const { coolantC, mapKpa, rows, periodS } = recording;
  const found: Finding[] = [];
  const at = (row: number): number => timeAt(recording, row);
  const spikes = [...spike.keys()].filter((k) => spike[k] === 1 && spike[k - 1] !== 1);
  if (spikes.length > 0) {
    const [first, last] = [spikes[0] as number, spikes.at(-1) as number];
    found.push({
      cause: 'speed-sensor', load: null, fromS: at(first), toS: at(last), size: 1 + spikes.length, confidence: 0.9, rivals: [],
      evidence: [`${spikes.length === 1 ? 'one jump' : `${spikes.length} jumps`} that no crank can make, the first at ${atS(at(first))}: ${rpm(raw[first - 1] as number)}, then ${rpm(raw[first] as number)}, and back`],
    });
  }
  if (coolantC !== null) {
    const where = jumps(coolantC, COOLANT_JUMP_C, Math.max(1, Math.round(Math.min(COOLANT_S, 1) / periodS)));
    const first = where[0];
    if (first !== undefined) {
      const span = Math.max(1, Math.round(1 / periodS));
      found.push({
        cause: 'coolant-sensor', load: null, fromS: at(first), toS: at(where.at(-1) as number), size: 2 + where.length, confidence: 0.9, rivals: [],
        evidence: [`${where.length === 1 ? 'a jump' : `${where.length} jumps`} of the coolant, the first at ${atS(at(first))}: from ${(coolantC[Math.max(0, first - span)] as number).toFixed(0)} to ${(coolantC[first] as number).toFixed(0)} °C within a second`],
      });
    }
  }
  const stuck = mapKpa === null ? null : stuckMap(mapKpa, phases, raw, rows, periodS);
  if (stuck !== null) {
    found.push({
      cause: 'map-sensor', load: null, fromS: at(stuck[0]), toS: at(stuck[1]), size: 3, confidence: 0.8, rivals: [],
      evidence: [`the pressure stands at ${((mapKpa as Float64Array)[stuck[0]] as number).toFixed(1)} kPa from ${atS(at(stuck[0]))} to ${atS(at(stuck[1]))}, while the speed moves by ${rpm(stuck[2])}`],
    });
  }
  return found;
}

/** Longest stretch in which the pressure does not move at all while the speed does: rows and by how much. */
function stuckMap(map: Float64Array, phases: Phases, speed: Float64Array, rows: number, periodS: number): readonly [number, number, number] | null {
  // a slow or coarse channel stands still often: what is usual here is no fault
  const runs: [number, number][] = [];
  for (let from = 0; from < rows; ) {
    let to = from + 1;
    while (to < rows && map[to] === map[from]) to++;
    runs.push([from, to]);
    from = to;
  }
  const usual = quantile(Float64Array.from(runs, ([from, to]) => to - from), 0.9);
  let worst: readonly [number, number, number] | null = null;
  for (const [from, to] of runs) {
    if (to - from < Math.max(2.5 / periodS, 8 * usual)) continue;
    if (!phases.phase.subarray(from, to).includes(IDLE)) continue;
    const part = speed.slice(from, to).sort();
    const span = (part.at(-1) as number) - (part[0] as number);
    if (span > MOVES_RPM && (worst === null || span > worst[2])) worst = [from, to - 1, span];
  }
  return worst;
}
