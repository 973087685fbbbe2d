/**
 * Flow functions of a restriction, squared: Ψ²(r) with r = downstream/upstream pressure.
 *
 *     ṁ = C_d·A·p₀/√(R·T₀) · Ψ(r)
 *
 * Isentropic: Ψ² = 2γ/(γ−1)·(r^(2/γ) − r^((γ+1)/γ)), held at its value for the critical ratio below that.
 * Source: Heywood, Internal Combustion Engine Fundamentals, 1988, app. C.
 * Parabolic: Ψ² = 2r(1 − r) for r > ½, else ½. Source: Guzzella and Onder, Introduction to Modeling and Control of
 * Internal Combustion Engine Systems, 2nd ed. 2010, ch. 2; within 0.019 of the isentropic one once each is scaled to 1.
 */
import { pow } from '../../numerics/elementary.js';
import { createTable } from '../../numerics/table.js';
import { own } from '../../parameter/table.js';
import { defineLaw, type FlowLaw } from './law.js';

/** r^(2/γ) and r^((γ+1)/γ) are two costly powers: a cubic table of this many cells is within 1e-11 of Ψ². */
export const FLOW_CELLS = 256;

export const isentropicFlow = defineLaw<FlowLaw>()({
  parameters: {
    gamma: own({ unit: '1', default: 1.4, min: 1.2, max: 1.67, meaning: 'ratio of specific heats of the air', source: 'NACA Report 1135, 1953' }),
  },
  create(settings) {
    const { gamma } = settings;
    const critical = criticalRatio(gamma);
    const scale = (2 * gamma) / (gamma - 1);
    const low = 2 / gamma;
    const high = (gamma + 1) / gamma;
    const table = createTable(
      (r) => scale * (pow(r, low) - pow(r, high)),
      (r) => scale * (low * pow(r, low - 1) - high * pow(r, high - 1)),
      critical,
      1,
      FLOW_CELLS,
    );
    const k = { critical, choked: table(critical) };
    return (ratio) => (ratio > k.critical ? table(ratio) : k.choked);
  },
});

export const parabolicFlow = defineLaw<FlowLaw>()({
  parameters: {},
  create() {
    return (ratio) => (ratio > 0.5 ? 2 * ratio * (1 - ratio) : 0.5);
  },
});

/** Pressure ratio at and below which the flow chokes, (2/(γ+1))^(γ/(γ−1)). */
export const criticalRatio = (gamma: number): number => pow(2 / (gamma + 1), gamma / (gamma - 1));
