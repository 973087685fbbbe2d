/** Which column is which channel, guessed from names, units and values. */
import { CHANNELS, type ChannelKind, type ChannelName, LOADS } from './channels.js';
import type { Named } from './mapping.js';
import { fits } from './plausible.js';
import { type Converter, unitOf } from './units.js';

/** A column with some of its values, for the ranges. */
export interface Candidate extends Named {
  readonly sample: Float64Array;
}

export interface Guess {
  readonly channel: ChannelName;
  readonly index: number;
  readonly sure: 'sure' | 'likely' | 'a guess';
  /** 0 … 1. */
  readonly score: number;
  /** Other columns of the same title with the same values. */
  readonly twins: readonly number[];
}

export interface Guesses {
  readonly found: readonly Guess[];
  /** Channels for which several columns serve equally well. */
  readonly open: readonly { readonly channel: ChannelName; readonly indices: readonly number[] }[];
}

const ENOUGH = 0.45;
/** A column leads by this or not at all. */
const LEAD = 0.08;

/** Words of a name: lower case, no accents, CamelCase and underscores apart. */
export function wordsOf(name: string): string[] {
  return name
    .normalize('NFD').replace(/[\u0300-\u036f]/g, '').replace(/ß/g, 'ss')
    .replace(/([a-z])([A-Z])/g, '$1 $2').replace(/([A-Z]+)([A-Z][a-z])/g, '$1 $2')
    .toLowerCase().split(/[^a-z0-9]+/).filter(Boolean);
}

/** Words that say nothing about which channel it is. */
const FILLERS = new Set(['sensor', 'signal', 'value', 'actual', 'current', 'ist', 'wert', 'bank', '1', 'the', 'of', 'engine', 'motor', 'de', 'do', 'da', 'del', 'a', 'reading', 'raw']);

/** How well the words of a phrase account for those of a name, 0 … 1; the channel's weak words say hardly anything else. */
function cover(words: readonly string[], phrase: string, weak: readonly string[]): number {
  const wanted = phrase.split(' ');
  if (!wanted.every((w) => words.includes(w))) return 0;
  const others = words.filter((w) => !wanted.includes(w));
  const weight = others.reduce((sum, w) => sum + (FILLERS.has(w) || weak.includes(w) ? 0.15 : 1), 0);
  return wanted.length / (wanted.length + weight);
}

function score({ name, unit, sample }: Candidate, kind: ChannelKind, convert: Converter): number {
  const words = wordsOf(name);
  const best = (phrases: readonly string[] = []): number => Math.max(0, ...phrases.map((p) => cover(words, p, kind.weak ?? [])));
  const strong = kind.alone?.includes(words.join(' ')) === true ? 1 : best(kind.words);
  const weak = best(kind.weak);
  if (strong === 0 && weak === 0) return 0;
  let total = Math.max(strong > 0 ? 0.45 + 0.35 * strong : 0, weak > 0 ? 0.2 + 0.1 * weak : 0);
  if (kind.not?.some((w) => words.includes(w)) === true) total -= 0.5;
  const known = unitOf(unit);
  if (known !== null && kind.unit !== null) total += known.of === unitOf(kind.unit)?.of ? 0.2 : -0.5;
  if (kind.unit === null && known !== null && kind.switch !== true && !['part', 'steps'].includes(known.of)) total -= 0.5;
  if (kind.switch === true && sample.some((v) => v !== 0 && v !== 1 && v !== 100)) total -= kind.unit === null && name.length > 0 ? 0.3 : 0;
  if (sample.length > 0 && kind.unit !== null) {
    const units = known === null ? [kind.unit, ...(kind.rivals ?? [])] : [unit, kind.unit, ...(kind.rivals ?? [])];
    total += units.some((u) => fits(sample, kind, u, convert)) ? 0.05 : -0.25;
  }
  return Math.max(0, Math.min(1, total));
}

const areTwins = (a: Candidate, b: Candidate): boolean => a.title === b.title && a.sample.length === b.sample.length && a.sample.every((v, k) => v === b.sample[k]);

/** @param taken columns and channels that the user has given */
export function guessChannels(columns: readonly Candidate[], convert: Converter, taken: { readonly columns: ReadonlySet<number>; readonly channels: ReadonlySet<string> }): Guesses {
  const kinds: [ChannelName, ChannelKind][] = [...Object.entries(CHANNELS), ...Object.entries(LOADS)] as [ChannelName, ChannelKind][];
  const scored = kinds
    .filter(([channel]) => !taken.channels.has(channel))
    .flatMap(([channel, kind]) => columns.flatMap((column, index) => (taken.columns.has(index) ? [] : [{ channel, index, score: score(column, kind, convert) }])))
    .filter((s) => s.score >= ENOUGH)
    .sort((a, b) => b.score - a.score);
  const found: Guess[] = [];
  const used = new Set<number>();
  const settled = new Set<string>();
  const open: { channel: ChannelName; indices: number[] }[] = [];
  for (const { channel, index, score: own } of scored) {
    if (settled.has(channel) || used.has(index)) continue;
    settled.add(channel);
    const close = scored.filter((s) => s.channel === channel && !used.has(s.index) && own - s.score < LEAD);
    const twins = close.map((s) => s.index).filter((i) => i !== index && areTwins(columns[i] as Candidate, columns[index] as Candidate));
    const rivals = close.filter((s) => !twins.includes(s.index));
    if (rivals.length > 1) {
      open.push({ channel, indices: rivals.map((r) => r.index) });
      continue;
    }
    for (const i of [index, ...twins]) used.add(i);
    found.push({ channel, index, twins, score: own, sure: own >= 0.9 ? 'sure' : own >= 0.7 ? 'likely' : 'a guess' });
  }
  return { found, open };
}
