/** Scenario files: reading, checking, listing and varying them; their schema and reference. */
export type { ReadText } from './files.js';
export { type Entry, type NumericKey, numericKeys } from './leaves.js';
export { type Loaded, type LoadOptions, loadScenario, loadScenarioOrThrow } from './load.js';
export { formatProblem, type Place, type Problem, ScenarioError } from './problem.js';
export type { Scenario } from './table.js';
export { withValues } from './vary.js';
export { referencePage } from './reference.js';
export { scenarioSchema } from './schema.js';
export { warningsOf } from './warnings.js';
