/** Anything that a table allows, for properties: settings drawn row by row, in stored units. */
import fc from 'fast-check';
import { fill, stored } from '../../src/parameter/fill.js';
import type { Curve, Row, Table, Values } from '../../src/parameter/table.js';
import { type EngineSettings, engineTable } from '../../src/plant/engine.js';
import { createPlant, type PlantOptions } from '../../src/plant/plant.js';
import type { Plant } from '../../src/plant/types.js';
import { type ValveSettings, valveTable } from '../../src/plant/valves/index.js';

/** Numbers all over a range, its ends among them. fast-check's doubles crowd at the tiny ones, which no engine has. */
const between = (min: number, max: number): fc.Arbitrary<number> => fc.integer({ min: 0, max: 2 ** 30 }).map((n) => (n === 2 ** 30 ? max : min + (n / 2 ** 30) * (max - min)));

function anyRow(row: Row): fc.Arbitrary<unknown> {
  switch (row.kind) {
    case 'quantity': {
      const value = row.integer === true ? fc.integer({ min: row.min, max: row.max }) : between(stored(row, row.min), stored(row, row.max));
      return row.default === null ? fc.option(value) : value;
    }
    case 'flag':
      return fc.boolean();
    case 'choice':
      return fc.constantFrom(...row.options);
    case 'text':
      return fc.constant('any');
    case 'curve': {
      const axis = (a: typeof row.x): readonly [number, number] => [
        stored({ unit: a.unit, stored: row.stored }, a.min), stored({ unit: a.unit, stored: row.stored }, a.max),
      ];
      return fc
        .uniqueArray(between(...axis(row.x)), { minLength: 1, maxLength: 4, comparator: (a, b) => Math.abs(a - b) < 1e-3 })
        .chain((x) => fc.array(between(...axis(row.y)), { minLength: x.length, maxLength: x.length }).map((y) => ({ x: x.sort((a, b) => a - b), y })));
    }
    case 'group':
      return anyTable(row.rows);
    case 'variant':
      return fc.oneof(...Object.entries(row.options).map(([tag, rows]) => anyTable(rows).map((settings) => ({ [row.tag]: tag, ...settings }))));
    case 'list':
      return fc.array(anyRow(row.of), { maxLength: Math.min(4, row.max) });
  }
}

function anyTable(table: Table): fc.Arbitrary<Record<string, unknown>> {
  return fc.record(Object.fromEntries(Object.entries(table).map(([key, row]) => [row.as ?? key, anyRow(row)])));
}

/** Settings that a table allows; cross-checks between rows are not made. */
export const anyOf = <T extends Table>(table: T): fc.Arbitrary<Values<T>> => anyTable(table).map((given) => fill(table, given as never));

const TOP = 8000 * (Math.PI / 30);

/** Least and greatest of c₀ + c₁ω + c₂ω² from standstill to 8000 rpm. */
function span(c0: number, c1: number, c2: number): readonly [number, number] {
  const at = (omega: number): number => c0 + omega * (c1 + omega * c2);
  const turn = c2 === 0 ? 0 : Math.min(TOP, Math.max(0, -c1 / (2 * c2)));
  const values = [at(0), at(TOP), at(turn)];
  return [Math.min(...values), Math.max(...values)];
}

/** c₁ and c₂ shrunk alike until the polynomial keeps within bounds that c₀ is in. */
function within(c0: number, c1: number, c2: number, low: number, high: number): readonly [number, number] {
  let share = 1;
  for (; ; share *= 0.7) {
    const [least, most] = span(c0, share * c1, share * c2);
    if (least >= low && most <= high) return [share * c1, share * c2];
    if (share < 1e-9) return [0, 0];
  }
}

/**
 * An engine within the declared ranges. A row's range is for itself alone, so what no engine has is left out: a catch
 * speed below the stall speed, charges that burn whole below those that do not burn, and polynomials in speed that up to 8000 rpm leave 0 … 1.5 of volumetric efficiency,
 * 0 … 0.7 of indicated efficiency, or 0 … 10 bar of friction.
 */
export const anyEngine: fc.Arbitrary<EngineSettings> = anyOf(engineTable).map((engine) => {
  const { charge, torque, friction, crank, displacement, fuelCut, wallFilm } = engine;
  const [fillingSpeed, fillingSpeed2] = within(charge.filling, charge.fillingSpeed, charge.fillingSpeed2, 0, 1.5);
  const [efficiencySpeed, efficiencySpeed2] = within(torque.efficiency, torque.efficiencySpeed, torque.efficiencySpeed2, 0, 0.7);
  const most = 10e5;
  const rubbing = (f: Extract<typeof friction, { law: 'rubbing' }>): typeof friction => {
    const [fmepSpeed, fmepSpeed2] = within(f.fmep, f.fmepSpeed, f.fmepSpeed2, 0, most);
    return { ...f, fmepSpeed, fmepSpeed2 };
  };
  const polynomial = (f: Extract<typeof friction, { law: 'polynomial' }>): typeof friction => {
    const [torqueSpeed, torqueSpeed2] = within(f.torque, f.torqueSpeed, f.torqueSpeed2, 0, Math.max(f.torque, (most * displacement) / (4 * Math.PI)));
    return { ...f, torqueSpeed, torqueSpeed2 };
  };
  return {
    ...engine,
    charge: { ...charge, fillingSpeed, fillingSpeed2 },
    torque: { ...torque, efficiencySpeed, efficiencySpeed2, burningCharge: Math.max(torque.burningCharge, torque.misfireCharge) },
    friction: friction.law === 'rubbing' ? rubbing(friction) : friction.law === 'polynomial' ? polynomial(friction) : friction,
    crank: { ...crank, catch: Math.max(crank.catch, crank.stall * 1.1) },
    machines: engine.machines.map((machine, i) => ({ ...machine, name: `machine ${i}` })),
    fuelCut: fuelCut.is === 'on' ? { ...fuelCut, resumeSpeed: Math.min(fuelCut.resumeSpeed, 0.9 * fuelCut.outSpeed) } : fuelCut,
    wallFilm: wallFilm.is === 'on' ? { ...wallFilm, leanMisfire: Math.max(wallFilm.leanMisfire, wallFilm.leanBurning + 0.01) } : wallFilm,
  };
});

/** A curve that rises from 0 … 100 and never falls, dead ends allowed. */
const rising: fc.Arbitrary<Curve> = fc
  .tuple(fc.array(between(0, 100), { minLength: 0, maxLength: 3 }), between(0, 40), between(60, 100))
  .map(([middle, low, high]) => {
    const y = [0, ...middle.sort((a, b) => a - b), 100];
    return { x: y.map((_, i) => low + ((high - low) * i) / (y.length - 1)), y };
  });

/** A valve within the declared ranges whose curves rise, as `createPlant` asks. */
export const anyValve: fc.Arbitrary<ValveSettings> = fc
  .tuple(anyOf({ valve: valveTable }), rising, rising)
  .map(([{ valve }, opening, flow]) => {
    if (valve.kind === 'solenoid') return { ...valve, opening, flow };
    return valve.kind === 'stepper' ? { ...valve, flow, parked: valve.parked === null ? null : Math.min(valve.parked, valve.steps) } : { ...valve, flow };
  });

/** The plant with the step asked for, or with the longest one that its refusal names. */
export function plantWithin(engine: EngineSettings, valve: ValveSettings, options: PlantOptions & { readonly step: number }): Plant {
  try {
    return createPlant(engine, valve, options);
  } catch (error) {
    const named = /^run\.step: .* at most ([\d.e+-]+) ms$/.exec(error instanceof RangeError ? error.message : '');
    if (named === null) throw error;
    return createPlant(engine, valve, { ...options, step: Number(named[1]) / 1e3 });
  }
}

/** What may act on a plant, over the ranges of the drill's events. */
export const anyInputs = fc.record({
  air: between(0, 1),
  spark: between(-0.5, 1),
  pedal: fc.oneof(fc.constant(0), between(0, 1)),
  load: between(-50, 200),
  loadPower: between(0, 20_000),
  loadSquare: between(0, 0.009),
  electrical: between(0, 5000),
  supplyHeld: fc.boolean(),
  clutch: between(0, 1),
  gear: fc.integer({ min: 0, max: 10 }),
  supply: between(6, 18),
  coolant: between(233.15, 403.15),
  oil: between(233.15, 433.15),
  starter: fc.boolean(),
});

/** Engines that might stand in a car: the defaults, each term some way off, sizes in proportion. Delays are in. */
export const ordinaryEngine: fc.Arbitrary<EngineSettings> = fc
  .record({
    litres: between(0.8, 6),
    cylinders: fc.integer({ min: 3, max: 8 }),
    compressionRatio: between(8, 12),
    inertiaPerLitre: between(0.06, 0.12),
    volume: between(1, 2),
    manifold: between(290, 340),
    filling: between(0.5, 0.8),
    efficiency: between(0.28, 0.36),
    sparkLoss: between(1.5e-4, 4e-4),
    fmep: between(0.4e5, 0.9e5),
    altitude: between(0, 2000),
    charge: between(180, 540),
    flow: fc.constantFrom({ law: 'isentropic' as const }, { law: 'parabolic' as const }),
  })
  .map((e) =>
    fill(engineTable, {
      cylinders: e.cylinders,
      displacement: e.litres * 1e-3,
      compressionRatio: e.compressionRatio,
      inertia: e.inertiaPerLitre * e.litres,
      manifold: { volume: e.volume * e.litres * 1e-3, temperature: e.manifold },
      throttle: { bore: 0.034 * Math.sqrt(e.litres), leak: { by: 'flow', flow: 0.3e-3 * e.litres } },
      charge: { law: 'residual', filling: e.filling },
      torque: { law: 'energy', efficiency: e.efficiency, sparkLoss: e.sparkLoss * (180 / Math.PI) ** 2 },
      friction: { law: 'rubbing', fmep: e.fmep },
      ambient: { altitude: e.altitude },
      flow: e.flow,
      delays: { charge: (e.charge * Math.PI) / 180 },
    }),
  );

/** A solenoid that suits an engine: wide open, 6 g/s for each litre. */
export const valveFor = (engine: EngineSettings): ValveSettings =>
  fill({ valve: valveTable }, { valve: { kind: 'solenoid', size: { by: 'flow', flow: 6 * engine.displacement } } }).valve;
