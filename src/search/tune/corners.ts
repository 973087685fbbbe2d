/**
 * Engines that may be the real one: the one described, and each thing that nobody knows well put off by itself.
 *
 * How far is assumed: a fifth for what is weighed, measured or read off a sheet, a factor for a valve's lag. 25 K and 1500 m
 * are a year's weather and a mountain road; roughness as in the drill of a rough engine.
 */
import { numericKeys, type Scenario, withValues } from '../../scenario/index.js';
import type { Range } from '../sampling/index.js';

export interface TuneCorner {
  /** `inertia −20 %`; `as described` for the first. */
  readonly name: string;
  /** What is put off, so that a range of the user's takes its place. */
  readonly thing: string;
  put(scenario: Scenario): Scenario;
}

interface Thing {
  readonly name: string;
  readonly keys: RegExp;
  /** What a value becomes, by the name of the change. @param value in documented units; null where not given */
  readonly ways: Readonly<Record<string, (value: number | null) => number | null>>;
  /** Half-width, rpm, of the band that counts as settled there, where the usual one is too narrow. */
  readonly bandRpm?: number;
}

const times = (factor: number) => (value: number | null): number | null => (value === null ? null : value * factor);
const FIFTH = { '−20 %': times(0.8), '+20 %': times(1.2) } as const;
/** Sea level in the standard atmosphere, °C (ISO 2533). */
const STANDARD_C = 15;
const ROUGHNESS_PCT = 6;
/** As the drill of a rough engine has it: its speed is not within 25 rpm for long. */
const ROUGH_BAND_RPM = 40;

const THINGS: readonly Thing[] = [
  { name: 'inertia', keys: /^engine\.inertia$/, ways: FIFTH },
  { name: 'plenum volume', keys: /^engine\.manifold\.volume$/, ways: FIFTH },
  { name: 'friction', keys: /^engine\.friction\.(fmep|torque|scale)/, ways: FIFTH },
  { name: 'valve flow', keys: /^valve\.size\.(flow|area)$/, ways: FIFTH },
  { name: 'valve lag', keys: /^valve\.lag$/, ways: { halved: times(0.5), doubled: times(2) } },
  { name: 'valve speed', keys: /^valve\.(slew|rate|frequency)$/, ways: { '−30 %': times(0.7), '+30 %': times(1.3) } },
  { name: 'delay', keys: /^engine\.delays\.(charge|spark)$/, ways: { '−20 %': times(0.8), '+20 %': times(1.2) } },
  { name: 'temperature', keys: /^engine\.ambient\.temperature$/, ways: { '−25 K': (value) => (value ?? STANDARD_C) - 25, '+25 K': (value) => (value ?? STANDARD_C) + 25 } },
  { name: 'altitude', keys: /^engine\.ambient\.altitude$/, ways: { '+1500 m': (value) => (value ?? 0) + 1500 } },
  { name: 'roughness', keys: /^engine\.roughness$/, ways: { [`${ROUGHNESS_PCT} %`]: (value) => Math.max(value ?? 0, ROUGHNESS_PCT) }, bandRpm: ROUGH_BAND_RPM },
];

export const AS_DESCRIBED = 'as described';

type Machinery = Pick<Scenario, 'engine' | 'valve'>;

/** Engine and valve put off, made once for each engine and valve, so that a plant can be used for many drills. */
function putting(change: (scenario: Scenario) => ReadonlyMap<string, number>, bandRpm: number): (scenario: Scenario) => Scenario {
  const made = new WeakMap<object, { readonly valve: object; readonly off: Machinery }>();
  return (scenario) => {
    let known = made.get(scenario.engine);
    if (known === undefined || known.valve !== scenario.valve) {
      const { engine, valve } = withValues(scenario, change(scenario));
      known = { valve: scenario.valve, off: { engine, valve } };
      made.set(scenario.engine, known);
    }
    const { scoring } = scenario;
    const band = Math.max(scoring.settlingBandRpm, bandRpm);
    return { ...scenario, ...known.off, ...(band === scoring.settlingBandRpm ? {} : { scoring: { ...scoring, settlingBandRpm: band } }) };
  };
}

const keysOf = (scenario: Scenario, pattern: RegExp) => numericKeys(scenario).filter(({ path }) => pattern.test(path));

function cornersOf({ name, keys, ways, bandRpm }: Thing): readonly TuneCorner[] {
  return Object.entries(ways).map(([way, to]) => ({
    name: `${name} ${way}`,
    thing: name,
    put: putting(
      (scenario) =>
        new Map(
          keysOf(scenario, keys).flatMap(({ path, value, min, max }): [string, number][] => {
            const off = to(value);
            return off === null ? [] : [[path, Number(Math.min(max, Math.max(min, off)).toPrecision(12))]];
          }),
        ),
      bandRpm ?? 0,
    ),
  }));
}

/** Whether a thing is there to be put off. */
const isThere = ({ keys, ways }: Thing, scenario: Scenario): boolean =>
  keysOf(scenario, keys).some(({ value }) => Object.values(ways).some((to) => to(value) !== null));

/**
 * The engine as described, then one at a time what is uncertain about it.
 *
 * @param own ranges that the user states: each takes the place of what it names, or comes beside it; null for none at all
 * @param onlyThese whether the user's ranges are all
 */
export function tuneCorners(scenarios: readonly Scenario[], own: readonly Range[] | null, onlyThese = false): readonly TuneCorner[] {
  const described: TuneCorner = { name: AS_DESCRIBED, thing: '', put: (scenario) => scenario };
  if (own === null) return [described];
  const left = onlyThese ? [] : THINGS.filter((thing) => scenarios.some((scenario) => isThere(thing, scenario)) && !own.some(({ key }) => thing.keys.test(key)));
  const said = own.flatMap(({ key, unit, lo, hi }) =>
    [lo, hi].map((value): TuneCorner => ({
      name: `${key.split('.').slice(-1)[0]} ${value}${unit === '' ? '' : ` ${unit}`}`,
      thing: key,
      put: putting(() => new Map([[key, value]]), key === 'engine.roughness' ? ROUGH_BAND_RPM : 0),
    })),
  );
  return [described, ...left.flatMap(cornersOf), ...said];
}
