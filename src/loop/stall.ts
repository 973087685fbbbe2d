/** Why an engine stalled, in plain words, from what it was doing as it went. */
import type { Command } from '../controller/types.js';
import type { PlantOutputs } from '../plant/types.js';

/**
 * @param lowest lower limit of the air command, in the valve's unit   @param full its full range
 */
export function explainStall(outputs: Readonly<PlantOutputs>, command: Readonly<Command>, lowest: number, full: number): string {
  const causes: string[] = [];
  if (command.air <= lowest + 0.01 * full) {
    causes.push(command.loopClosed ? 'the closed loop had wound the air down to its lower stop' : 'the air command was at its lower stop');
  }
  if (outputs.plate < 0.005 && outputs.opening < command.airFraction - 0.05) causes.push('the valve was still on its way open');
  if (outputs.clutch > 1) causes.push(`the driveline took ${outputs.clutch.toFixed(1)} N·m`);
  if (outputs.load > 0.5) causes.push(`loads took ${outputs.load.toFixed(1)} N·m`);
  if (outputs.indicated <= 0) causes.push('the charge was too small to burn');
  if (causes.length === 0) causes.push('air and spark gave less torque than friction took');
  return `stalled: ${causes.join('; ')}`;
}
