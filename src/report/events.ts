/** What each event of a drill did, in a table whose letters are those under the charts. */
import type { Metrics } from '../score/metrics.js';
import type { Scored } from '../score/score.js';
import type { Layout } from './chart.js';
import { METRIC_ROWS, metricCell } from './metric-names.js';
import { formatNumber, seconds } from './numbers.js';
import { table, type TableCell, type TableHead } from './table.js';
import { clean, eventKey, wrap } from './text.js';

/** Parts that a reader will put together in the mind. */
const MOST_PARTS = 4;

/**
 * The event table: a line an event, and a second one for an event that takes effect later than it is asked for.
 *
 * @returns lines no wider than `columns` (40 at least); one that says so where there are no events
 */
export function eventTable(scored: Pick<Scored, 'events'>, layout: Pick<Layout, 'columns' | 'colour'>): string[] {
  const { events } = scored;
  if (events.length === 0) return ['no events in this drill'];
  const heads: TableHead[] = [
    { head: '', align: 'left', names: true },
    { head: 'event', align: 'left', names: true },
    { head: 'from', unit: 's', part: 0 },
    ...METRIC_ROWS.map(({ label, unit, part }) => ({ head: label, unit, part })),
  ];
  const rows = events.flatMap((event, i): TableCell[][] => {
    const line = (key: string, name: string, atS: number, metrics: Metrics): TableCell[] => [
      key,
      name,
      formatNumber(atS, 's'),
      ...METRIC_ROWS.map((row) => metricCell(metrics, row)),
    ];
    const request = line(eventKey(i), event.name, event.atS, event);
    if (event.fromEngagement === null) return [request];
    return [request, line('', `from ${seconds(event.engagedS)}, when it takes effect`, event.engagedS, event.fromEngagement)];
  });
  const said = events.flatMap((event, i) => {
    const parts = [clean(event.what), event.engagedS > event.atS ? `takes effect at ${seconds(event.engagedS)}` : ''].filter(
      (part) => part !== '',
    );
    return parts.length === 0 ? [] : wrap(`${eventKey(i)}: ${parts.join(', ')}`, Math.max(40, Math.floor(layout.columns)), 3);
  });
  return [...table({ heads, rows, ...layout, mostParts: MOST_PARTS }), ...said];
}
