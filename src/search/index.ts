/** Room `search`: axes, grids and sweeps. */
export { type Axis, linearValues, logValues, MOST_CELLS, parseAxis, readAxes, type ReadAxes, type Spacing } from './axis.js';
export { csvField, csvLines } from './csv.js';
export { evaluate, evaluateCell, type Outcome, type SweepRow, WORST, type WorstName } from './evaluate.js';
export { cellCount, cellIndex, cellValues } from './grid.js';
export { jsonLines } from './json.js';
export { rank } from './rank.js';
export { type StartingPoint, sweep, SweepError, type SweepOptions, type SweepResult } from './sweep.js';
