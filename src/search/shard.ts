/**
 * A sweep cut into shards, each run by itself: shard i of n has the cells i − 1, i − 1 + n, … Taking every n-th cell
 * gives each shard its share of what is quick, a corner of the grid that stalls early, and of what is not.
 */
import type { Stretch } from './stretch.js';

export interface Shard {
  /** From 1. */
  readonly at: number;
  readonly of: number;
}

/** The sweep in one piece. */
export const WHOLE: Shard = { at: 1, of: 1 };

const MOST_SHARDS = 100_000;

export const shardText = ({ at, of }: Shard): string => `${at}/${of}`;

/** Reads `i/n`. @returns what is wrong, as text, when it is none */
export function parseShard(text: string): Shard | string {
  const [, at, of] = /^\s*(\d+)\s*\/\s*(\d+)\s*$/.exec(text) ?? [];
  if (at === undefined || of === undefined) return `${text}: i/n is wanted, such as 1/4: the first of four shards`;
  const shard = { at: Number(at), of: Number(of) };
  if (shard.of < 1 || shard.of > MOST_SHARDS) return `${text}: from 1 to ${MOST_SHARDS} shards can be had`;
  if (shard.at < 1 || shard.at > shard.of) return `${text}: there is no shard ${shard.at}; they are counted from 1 to ${shard.of}`;
  return shard;
}

/** Cells of a shard, of `total` in all. */
export const shardCells = ({ at, of }: Shard, total: number): Stretch => ({ from: at - 1, to: total, by: of });
