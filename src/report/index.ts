/** Room `report`: results in, lines of text out. Nothing here prints or asks a terminal anything. */
export type { Mark } from './axis.js';
export { cautionLine, cautions } from './caution.js';
export { chart, type Layout, MOST_LINES, type Panel, type Series } from './chart.js';
export { type ComparedRun, compareTable } from './compare.js';
export { eventTable } from './events.js';
export { type FrontPage, frontPage } from './front.js';
export type { LineName } from './glyphs.js';
export { type HeatAxis, type HeatCell, type HeatMap, heatMap } from './heat.js';
export { METRIC_ROWS, metricCell, type MetricRow } from './metric-names.js';
export { formatMark, formatNumber, plural, seconds, signed, withUnit } from './numbers.js';
export { type RankedRow, rankingTable, shortKeys } from './ranking.js';
export { table, type TableCell, type TableHead, type TableOptions } from './table.js';
export { clean, cut, eventKey, padEnd, padStart, plain, textWidth, wrap } from './text.js';
export { type NamedTrace, overlayCharts, traceCharts } from './traces.js';
