/** What `tickover margins --json` prints: the reader's units, each named in its key; what is absent is null with a reason. */
import type { Complex } from '../linear/complex.js';
import type { BreakName } from '../linear/idle-loops.js';
import { BREAKS } from '../linear/idle-loops.js';
import type { IdleMargins, LinearIdle } from '../linear/idle.js';
import type { LimitCycleAnswer } from '../linear/limit-cycle.js';
import type { Margins } from '../linear/margins.js';
import { modeOf } from '../linear/zeros.js';

const hertz = (omega: number | null): number | null => (omega === null ? null : omega / (2 * Math.PI));

function loopObject(margins: Margins | null): object | null {
  if (margins === null) return null;
  return {
    stable: margins.stable,
    gainMargin: margins.gainMargin,
    gainMarginHz: hertz(margins.gainMarginAt),
    gainReduction: margins.gainReduction,
    gainReductionHz: hertz(margins.gainReductionAt),
    phaseMarginDeg: margins.phaseMarginDeg,
    crossoverHz: hertz(margins.crossover),
    delayMarginS: margins.delayMarginS,
    ms: margins.ms,
    msHz: hertz(margins.msAt),
    mt: margins.mt,
    mtHz: hertz(margins.mtAt),
    bandwidthHz: hertz(margins.bandwidth),
    rejectionBandwidthHz: hertz(margins.rejectionBandwidth),
    crossovers: margins.gainCrossovers.map((each) => ({ hz: hertz(each.omega), phaseMarginDeg: each.phaseMarginDeg, delayMarginS: each.delayMarginS })),
    reasons: margins.reasons,
  };
}

const poleObject = (pole: Complex): object => {
  const { frequency, damping } = modeOf(pole);
  return { re: pole.re, im: pole.im, naturalFrequencyRadPerS: frequency, damping };
};

/** @param unit of the air command */
export function marginsObject(
  idle: LinearIdle,
  found: IdleMargins,
  poles: { readonly engine: readonly Complex[]; readonly closed: readonly Complex[] },
  cycles: { readonly steps: LimitCycleAnswer; readonly play: LimitCycleAnswer },
  unit: string,
): object {
  const { equilibrium: at, balance, engine } = idle;
  return {
    idle: {
      speedRpm: (at.omega * 30) / Math.PI, mapKpa: at.pressure / 1e3, air: at.command, airUnit: unit, sparkDeg: (at.spark * 180) / Math.PI, coolantC: at.inputs.coolant - 273.15,
      airGPerS: 1e3 * balance.air, indicatedNm: balance.indicated, pumpingNm: balance.pumping, frictionNm: balance.friction, loadNm: balance.load,
    },
    engine: { chargeDelayS: engine.chargeDelay, sparkDelayS: engine.sparkDelay, firingS: idle.firingS, pressure: engine.pressure, speed: engine.speed, charge: engine.charge, valve: engine.valve, poles: poles.engine.map(poleObject) },
    stable: found.stable,
    ms: found.ms,
    worstMs: found.worstMs,
    loops: Object.fromEntries(BREAKS.map((name: BreakName) => [name, loopObject(found.loops[name])])),
    closedLoopPoles: poles.closed.map(poleObject),
    limitCycles: { wholeSteps: cycles.steps, play: cycles.play },
  };
}
