/** One line on what the fixed step costs. */
import type { StepCost } from '../loop/step-check.js';
import { PARTS } from '../loop/step-check.js';
import { formatNumber, seconds } from './numbers.js';

/** @param step s */
export function stepCostLine(step: number, cost: StepCost): string {
  const head = `Step check: ${formatNumber(1e3 * step)} ms fixed against an adaptive integrator on steps of ${formatNumber((1e3 * step) / PARTS)} ms:`;
  if (!cost.agree) return `${head} one of them stalls, the other does not; make the step shorter (--set run.step=…)`;
  const stall = cost.stallS === null ? '' : `; stalls ${formatNumber(1e3 * cost.stallS)} ms apart`;
  return `${head} at most ${cost.speedRpm.toPrecision(2)} rpm apart (at ${seconds(cost.speedAtS)}), ${cost.mapKpa.toPrecision(2)} kPa (at ${seconds(cost.mapAtS)})${stall}`;
}
