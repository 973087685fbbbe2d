/** How to record an engine safely and usefully. */
export { type Plan, planFor, type PlanStep } from './protocol.js';
