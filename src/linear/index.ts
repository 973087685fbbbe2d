/** Room `linear`: frequency responses, margins, tuning rules. */
export { type Complex, complex } from './complex.js';
export { type DelayFit, type FitOptions, fitIntegrating, fitLag } from './fit-delay.js';
export { halfRule, type RealProcess } from './half-rule.js';
export { holdEquivalent, holdTransfer } from './hold.js';
export { type GainCrossover, type MarginName, type MarginOptions, type Margins, marginsOf, type PhaseCrossover } from './margins.js';
export {
  type IdealPid,
  idealOfParallel,
  idealOfSeries,
  type ParallelPid,
  parallelOf,
  type SeriesPid,
  seriesOfIdeal,
} from './pid-forms.js';
export {
  type IntegratingProcess,
  integratingProcess,
  type LagProcess,
  lagProcess,
  type ProcessModel,
  transferOfModel,
} from './process-model.js';
export { describingGain, relayExperiment, type RelayOptions, type RelayResult } from './relay.js';
export type { FrequencyResponse } from './response.js';
export {
  amigo,
  amigoTargetWeight,
  simc,
  simcDoubleIntegrating,
  type Terms,
  tyreusLuyben,
  type UltimatePoint,
  zieglerNichols,
  zieglerNicholsStep,
} from './rules.js';
export { polesOfStateSpace, responseOf, type StateSpace, stateSpaceOf } from './state-space.js';
export { responseOfStep } from './step-response.js';
export { type Stepper, stepperOf } from './stepper.js';
export { closedLoopPoles, polesOf, series, seriesOf, times, type Transfer, type TransferOptions, transfer, zerosOf } from './transfer.js';
export { type Ultimate, ultimateOf } from './ultimate.js';
