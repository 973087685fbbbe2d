/** Fills the columns of a trace, row by row. The seam from SI to the reader's units. */
import type { Command } from '../controller/types.js';
import type { PlantOutputs } from '../plant/types.js';
import { COLUMNS, type ColumnName, type Columns } from './trace.js';

const PER_RPM = 30 / Math.PI;
const ZERO_C = 273.15;

export interface Recorder {
  readonly columns: Columns;
  rows: number;
}

export function createRecorder(capacity: number): Recorder {
  const names = Object.keys(COLUMNS) as ColumnName[];
  return { columns: Object.fromEntries(names.map((name) => [name, new Float64Array(capacity)])) as Columns, rows: 0 };
}

/** Writes one row: what the controller saw, what it applied, and the plant before it moves. */
export function record(
  recorder: Recorder, timeS: number, sensedRpm: number, command: Readonly<Command>, outputs: Readonly<PlantOutputs>, lowest: number, highest: number,
): void {
  const { columns: c, rows: i } = recorder;
  c.timeS[i] = timeS;
  c.speedRpm[i] = outputs.omega * PER_RPM;
  c.sensedRpm[i] = sensedRpm;
  c.targetRpm[i] = command.targetRpm;
  c.air[i] = command.air;
  c.openingPct[i] = 100 * outputs.opening;
  c.throttlePct[i] = 100 * outputs.plate;
  c.mapKpa[i] = outputs.pressure / 1e3;
  c.airGs[i] = outputs.airIn * 1e3;
  c.fuelKgh[i] = outputs.fuel * 3600;
  c.sparkDeg[i] = command.sparkDeg;
  c.indicatedNm[i] = outputs.indicated;
  c.pumpingNm[i] = outputs.pumping;
  c.frictionNm[i] = outputs.friction;
  c.loadNm[i] = outputs.load;
  c.clutchNm[i] = outputs.clutch;
  c.vehicleKmh[i] = outputs.vehicleSpeed * 3.6;
  c.coolantC[i] = outputs.coolant - ZERO_C;
  c.closed[i] = command.loopClosed ? 1 : 0;
  c.atStop[i] = command.air <= lowest || command.air >= highest ? 1 : 0;
  recorder.rows = i + 1;
}
