/** Sampling: ranges, designs, and the sequences behind them. */
export { createDesignPoints, type Design, type DesignKind, designSequence, MOST_POINTS } from './design.js';
export { pointValues, type Range, rangeValue } from './range.js';
export { readRanges, type ReadRanges } from './ranges.js';
export { createSobol, MOST_DIMENSIONS, type Sequence } from './sobol.js';
export { streamOf } from './stream.js';
