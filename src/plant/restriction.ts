/**
 * Mass flow through restrictions in parallel, and how one is described. SI.
 *
 * Near equal pressures Ψ = √(Ψ²) has an endless slope, which no fixed step survives. Below Ψ² = `smooth` it is replaced
 * by the odd cubic that meets it with the same value and slope:
 *
 *     Ψ = √s·(3 − q/s)/2 · q/s        q = Ψ², s = smooth
 *
 * so the flow passes through zero and reverses without a jump.
 */
import { own, si, variant, type Values } from '../parameter/table.js';
import type { FlowLaw } from './laws/law.js';

/** Default `smooth`: leaves every ratio below 0.995 exact. */
export const SMOOTH = 0.01;

/** Ψ from its square. */
export function flowFunction(square: number, smooth: number): number {
  return square >= smooth ? Math.sqrt(square) : (0.5 * square * (3 - square / smooth)) / Math.sqrt(smooth);
}

/**
 * Mass flow through a restriction, kg/s, negative when it runs backwards.
 *
 * @param area effective, C_d·A, m²   @param upstream, downstream absolute, Pa
 * @param upstreamTemperature, downstreamTemperature K (the latter counts when the flow reverses)
 * @param gasConstant J/(kg·K)   @param flow the square of Ψ   @param smooth see above
 * @throws RangeError if a pressure, a temperature or the gas constant is not positive
 * Source: Heywood, Internal Combustion Engine Fundamentals, 1988, app. C.
 */
export function restrictionFlow(
  area: number,
  upstream: number,
  downstream: number,
  upstreamTemperature: number,
  downstreamTemperature: number,
  gasConstant: number,
  flow: FlowLaw,
  smooth: number = SMOOTH,
): number {
  for (const [name, value] of Object.entries({ upstream, downstream, upstreamTemperature, downstreamTemperature, gasConstant })) {
    if (!(value > 0)) throw new RangeError(`${name} must be positive; got ${value}`);
  }
  return downstream <= upstream
    ? ((area * upstream) / Math.sqrt(gasConstant * upstreamTemperature)) * flowFunction(flow(downstream / upstream), smooth)
    : ((-area * downstream) / Math.sqrt(gasConstant * downstreamTemperature)) * flowFunction(flow(upstream / downstream), smooth);
}

/** A restriction, told by what a flow bench reads or by its area. A bench's air is 20 °C and 101.325 kPa. */
export const restriction = (defaults: { readonly flow: number; readonly area: number; readonly meaning: string; readonly source: string }) =>
  variant({
    tag: 'by',
    options: {
      flow: {
        flow: si({ unit: 'g/s', default: defaults.flow, min: 0, max: 500, meaning: 'air flow on a bench at the stated depression', source: defaults.source }),
        depression: si({ unit: 'kPa', default: 60, min: 0.5, max: 95, meaning: 'pressure drop at which the flow was read', source: 'assumed' }),
      },
      area: {
        area: si({ unit: 'mm^2', default: defaults.area, min: 0, max: 10000, meaning: 'geometric area', source: defaults.source }),
        discharge: own({ unit: '1', default: 0.75, min: 0.1, max: 1, meaning: 'discharge coefficient', source: '0.6 to 0.9 for plates and idle valves: from memory' }),
      },
    },
    default: 'flow',
    meaning: defaults.meaning,
  });

export type RestrictionSettings = Values<{ row: ReturnType<typeof restriction> }>['row'];

const BENCH = { pressure: 101325, temperature: 293.15, gasConstant: 287.05287 };

/** Effective area C_d·A, m², of a described restriction. */
export function effectiveArea(settings: RestrictionSettings, flow: FlowLaw): number {
  if (settings.by === 'area') return settings.area * settings.discharge;
  const { pressure, temperature, gasConstant } = BENCH;
  const unit = restrictionFlow(1, pressure, pressure - settings.depression, temperature, temperature, gasConstant, flow);
  return settings.flow / unit;
}
