/** Why an engine stalled, in plain words, from what it was doing as it went. */
import type { Command } from '../controller/types.js';
import type { PlantOutputs } from '../plant/types.js';
import type { Recorder } from './recorder.js';

/** A cut so long ago that its torque must be back is no cause any more, s: half a second, and a cycle at a low speed. */
const CUT_COUNTS_S = 1;

/**
 * @param lowest lower limit of the air command, in the valve's unit   @param full its full range
 * @param recorder rows up to the stall
 */
export function explainStall(
  outputs: Readonly<PlantOutputs>, command: Readonly<Command>, lowest: number, full: number, recorder: Readonly<Recorder>,
): string {
  const causes: string[] = [];
  const cut = fuelCutS(recorder);
  if (cut !== null) causes.push(cut > 0 ? `the fuel had been cut until ${cut.toFixed(1)} s before` : 'the fuel was cut');
  if (command.air <= lowest + 0.01 * full) {
    causes.push(command.loopClosed ? 'the closed loop had wound the air down to its lower stop' : 'the air command was at its lower stop');
  }
  if (outputs.plate < 0.005 && outputs.opening < command.airFraction - 0.05) causes.push('the valve was still on its way open');
  if (outputs.clutch > 1) causes.push(`the driveline took ${outputs.clutch.toFixed(1)} N·m`);
  if (outputs.load > 0.5) causes.push(`loads took ${outputs.load.toFixed(1)} N·m`);
  if (outputs.indicated <= 0 && cut === null) causes.push('the charge was too small to burn');
  if (causes.length === 0) causes.push('air and spark gave less torque than friction took');
  return `stalled: ${causes.join('; ')}`;
}

/**
 * Seconds since an overrun cut ended, 0 while it lasted to the end; null without one that counts. A cut is fuel that ran and runs no more
 * while air goes through a turning engine; a plant that knows no fuel has none.
 */
function fuelCutS({ columns, rows }: Readonly<Recorder>): number | null {
  const { timeS, fuelKgh, airGs, speedRpm } = columns;
  const endS = timeS[rows - 1]!;
  // from the row before: an engine that has stalled burns none either
  for (let k = rows - 2; k >= 0 && endS - timeS[k]! <= CUT_COUNTS_S; k--) {
    if (fuelKgh[k]! > 0 || !(airGs[k]! > 0 && speedRpm[k]! > 0)) continue;
    for (let before = k - 1; before >= 0; before--) if (fuelKgh[before]! > 0) return k === rows - 2 ? 0 : endS - timeS[k]!;
    return null;
  }
  return null;
}
