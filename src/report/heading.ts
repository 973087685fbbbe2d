/** The line over a chart: what it shows, where it was lowest and highest, as fully as fits. */
import { formatNumber, seconds, withUnit } from './numbers.js';
import { extremes, type Panel, scaleOf } from './panel.js';
import { scaleTop } from './scale.js';
import { clean, cut, firstThatFits } from './text.js';

/** What stands for a value above the plot. */
export const CUT_OFF = '▲';

export function heading(panel: Panel, width: number): string {
  const chosen =
    panel.extremesOf === undefined ? panel.series : panel.series.filter((series) => panel.extremesOf?.includes(series.name));
  const found = extremes(panel, chosen);
  const title = clean(panel.title) + (panel.unit === '' ? '' : `, ${panel.unit}`);
  if (found === null) return cut(`${title}   nothing recorded`, width);
  const n = (value: number): string => formatNumber(value, panel.unit);
  const stall = panel.stallS == null ? '' : `× stalls at ${seconds(panel.stallS)} · `;
  const wordings =
    n(found.low) === n(found.high)
      ? [`steady at ${withUnit(found.low, panel.unit)}`, n(found.low)]
      : [
          `lowest ${n(found.low)} at ${seconds(found.lowS)} · highest ${n(found.high)} at ${seconds(found.highS)}`,
          `lowest ${n(found.low)} · highest ${n(found.high)}`,
          `${n(found.low)} … ${n(found.high)}`,
        ];
  const scale = scaleOf(panel);
  const cutOff =
    panel.ceiling !== undefined && scale !== null && found.high > scaleTop(scale) ? ` · ${CUT_OFF} off the scale` : '';
  const short = [
    ...wordings.map((wording) => stall + wording + cutOff),
    ...wordings.map((wording) => stall + wording),
    ...(stall === '' ? [] : [`× ${wordings.at(-1)}`]),
  ];
  return firstThatFits(
    short.map((wording) => `${title}   ${wording}`),
    width,
  );
}
