/**
 * What a page carries for its program: the scenarios that were run, what their traces must come to, and a sweep.
 *
 * Drills of a suite share engine, valve and controller: each section stands in the payload once, and a run names its places.
 */
import type { Scenario } from '../scenario/table.js';

/** A scenario by section: places in `PagePayload.sections`. */
export type PackedScenario = Readonly<Record<string, number>>;

export interface PageRun {
  readonly name: string;
  readonly scenario: PackedScenario;
  /** `traceBits` of the trace that the numbers on the page come from. */
  readonly bits: string;
}

/** A cell: score, or why there is none. */
export type PageCell = number | { readonly missed: number } | 'stalled' | 'notRun' | 'unreached';

export interface PageAxis {
  readonly key: string;
  readonly unit: string;
  readonly spacing: 'linear' | 'log' | 'list';
  readonly values: readonly number[];
}

export interface PagePoint {
  readonly x: number;
  readonly y: number;
  readonly values: readonly number[];
}

export interface PageSweep {
  readonly name: string;
  readonly axes: readonly PageAxis[];
  readonly cells: number;
  /** Two axes thinned to what can be drawn; `by` says how many values of each stand for one. Null for any but a grid of two. */
  readonly map: { readonly x: PageAxis; readonly y: PageAxis; readonly by: readonly [number, number]; readonly rows: readonly (readonly PageCell[])[] } | null;
  readonly front: {
    readonly x: { readonly label: string; readonly unit: string };
    readonly y: { readonly label: string; readonly unit: string };
    readonly points: readonly PagePoint[];
    readonly others: readonly PagePoint[];
    /** Sentence on what was left out, or null. */
    readonly thinned: string | null;
  } | null;
}

export interface PagePayload {
  readonly opens: 'traces' | 'bench';
  readonly sections: readonly unknown[];
  readonly runs: readonly PageRun[];
  readonly sweeps: readonly PageSweep[];
  /** Of a lesson's page: its runs are the wrong and the right setting. */
  readonly lesson?: PageLesson;
}

export interface PageLesson {
  /** The exercise as it starts. */
  readonly start: PageRun;
  /** Keys that the exercise is about, or the sections they stand in. */
  readonly mayChange: readonly string[];
  /** Letter of the prediction that the runs bear out. */
  readonly came: string;
}

/** Puts scenarios apart into sections, each kept once. */
export function createPacker(): { readonly sections: unknown[]; pack(scenario: Scenario): PackedScenario } {
  const sections: unknown[] = [];
  const places = new Map<string, number>();
  return {
    sections,
    pack: (scenario) =>
      Object.fromEntries(
        Object.entries(scenario).map(([key, section]) => {
          const text = JSON.stringify(section);
          let place = places.get(text);
          if (place === undefined) {
            place = sections.push(section) - 1;
            places.set(text, place);
          }
          return [key, place];
        }),
      ),
  };
}

/** The scenario again. @throws RangeError when a section is missing */
export function unpack(sections: readonly unknown[], packed: PackedScenario): Scenario {
  return Object.fromEntries(
    Object.entries(packed).map(([key, place]) => {
      if (!(place in sections)) throw new RangeError(`page: section ${key} is missing`);
      return [key, sections[place]];
    }),
  ) as unknown as Scenario;
}
