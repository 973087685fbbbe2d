/** Room `setup`: settings computed from an engine, and what one knob does. */
export { givenIn } from './given.js';
export type { Corner, DrillPair, DrillResult, SetupResult, SetupRow, Tried } from './result.js';
export { setup, type SetupOptions } from './setup.js';
