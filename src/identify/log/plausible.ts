/** Whether values can be in the unit they are said to be in, and in which they can. */
import type { ChannelKind } from './channels.js';
import type { Converter } from './units.js';

/** Sorted values at a share of the way, 0 … 1. */
export const at = (sorted: Float64Array, share: number): number => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;

/**
 * Whether values, in any order, can be the channel's in a unit. Zero is left out: the engine may stand.
 *
 * @param usually whether their middle must be that of a log with an idle in it, too
 */
export function fits(values: Float64Array, kind: ChannelKind, unit: string, convert: Converter, usually = true): boolean {
  const conversion = kind.unit === null ? { slope: 1, offset: 0 } : convert(unit, kind.unit);
  if (conversion === null) return false;
  const moving = values.filter((v) => v !== 0).sort();
  const sorted = moving.length > values.length / 20 ? moving : values.slice().sort();
  if (sorted.length === 0) return true;
  const value = (share: number): number => at(sorted, share) * conversion.slope + conversion.offset;
  const [low, high] = kind.possible;
  const [usualLow, usualHigh] = kind.usual;
  const middle = value(0.5);
  return value(0.01) >= low && value(0.99) <= high && (!usually || (middle >= usualLow && middle <= usualHigh) || moving.length === 0);
}

function rareNote(values: Float64Array, { rare, unit, meaning }: ChannelKind, own: string, convert: Converter): string | null {
  const [is, other] = rare === undefined || unit === null ? [null, null] : [convert(own, unit), convert(rare.unit, unit)];
  if (rare === undefined || is === null || other === null) return null;
  const middle = at(values.slice().sort(), 0.5);
  if (!(middle * is.slope + is.offset > rare.above)) return null;
  return `${Number((middle * is.slope + is.offset).toPrecision(3))} ${unit} in the middle is rare for ${meaning}; as ${rare.unit} it would be ${Number((middle * other.slope + other.offset).toPrecision(3))} ${unit}. Kept as ${own}; give the unit if it is another`;
}

export interface UnitVerdict {
  /** Unit that the values are read in. */
  readonly unit: string;
  /** What was found and done, for a reader; null when the unit given fits, or the values are right for one that is not. */
  readonly note: string | null;
  /** No unit was given, and the values are right for the channel's own. */
  readonly unsaid?: true;
}

/**
 * Decides the unit of a channel's values.
 *
 * Given by the user, it stands, with a note where the values deny it. Given by the header, or not at all, it gives way where
 * the values cannot be in it and can be in exactly one other.
 */
export function judgeUnit(values: Float64Array, kind: ChannelKind, given: { readonly unit: string; readonly by: 'user' | 'header' | 'none' }, convert: Converter): UnitVerdict {
  const wanted = kind.unit as string;
  const own = given.by === 'none' ? wanted : given.unit;
  const unsaid = given.by === 'none' ? ({ unsaid: true } as const) : {};
  if (fits(values, kind, own, convert)) return { unit: own, note: rareNote(values, kind, own, convert), ...unsaid };
  const [lowest, highest] = [values.reduce((a, b) => Math.min(a, b), Infinity), values.reduce((a, b) => Math.max(a, b), -Infinity)];
  const range = `${Number(lowest.toPrecision(4))} … ${Number(highest.toPrecision(4))}`;
  let others = [wanted, ...(kind.rivals ?? [])].filter((u) => u !== own && fits(values, kind, u, convert));
  if (others.length > 1 && kind.top !== undefined) {
    const [from, to] = kind.top;
    const topped = others.filter((u) => {
      const { slope, offset } = convert(u, wanted) as { slope: number; offset: number };
      return highest * slope + offset >= from && highest * slope + offset <= to;
    });
    if (topped.length === 1) others = topped;
  }
  // unusual, as of a log without an idle, but possible, and right in no other unit
  if (others.length === 0 && fits(values, kind, own, convert, false)) return { unit: own, note: null, ...unsaid };
  const said = given.by === 'none' ? `values of ${range}` : `${range} ${own}`;
  if (given.by === 'user') return { unit: own, note: `${said} cannot be ${kind.meaning}${others.length > 0 ? `; ${others.join(' or ')} could` : ''}. Kept, since the unit was given` };
  if (others.length === 1) return { unit: others[0] as string, note: `${said} cannot be ${kind.meaning}; read as ${others[0]}, in which they can. A unit behind the column's name or number, as in #2 [${own}], says otherwise` };
  return { unit: own, note: `${said} cannot be ${kind.meaning}${others.length > 1 ? `; they could be ${others.join(' or ')}: give the unit` : ''}. Kept as ${own}` };
}
