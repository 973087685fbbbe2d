/**
 * tickover as a library: an idling engine and its controller, simulated, scored and swept.
 *
 * Settings come from `fill(table, what differs)` in stored units (SI for the plant and the loop, the reader's units for the
 * controller), or from `loadScenario`. Nothing here prints, opens a file or exits.
 */
export { choice, type Curve, curve, flag, group, list, own, type Row, si, type Table, text, type Values, variant } from './parameter/table.js';
export { fill, type Partly } from './parameter/fill.js';
export { fromSI, toSI, type Unit } from './parameter/unit.js';

export { interpolate } from './numerics/curve.js';
export { createDelayLine, type DelayLine } from './numerics/delay-line.js';
export { findRoot } from './numerics/root.js';
export { createRungeKutta } from './numerics/runge-kutta.js';

export { engineTable, type EngineSettings } from './plant/engine.js';
export { type ValveSettings, valveTable } from './plant/valves/index.js';
export { createPlant, type Integrator, type PlantOptions } from './plant/plant.js';
export { basicsOf, lawsOf } from './plant/compose.js';
export { defineLaw } from './plant/laws/law.js';
export { defineValve } from './plant/valves/valve.js';
export type { Basics, ChargeLaw, FlowLaw, FrictionLaw, Laws, MixtureLaw, PlateLaw, PumpingLaw, TorqueLaw, ValveLaw } from './plant/laws/law.js';
export { createRegressionPlant, type RegressionSettings, regressionTable } from './plant/regression.js';
export { createModel, type ModelSettings, modelTable } from './plant/models.js';
export { restrictionFlow } from './plant/restriction.js';
export { standardAtmosphere } from './plant/ambient.js';
export { ANGLE, type EngineState, OMEGA, type Plant, type PlantInputs, type PlantOutputs, type PlantStart, PRESSURE, type ValveRange, VEHICLE } from './plant/types.js';

export { controllerTable, type ControllerSettings } from './controller/parameters.js';
export { createController, createControllerState, type ControllerState, stepController } from './controller/controller.js';
export type { Command, Controller, Measured } from './controller/types.js';

export { type DrillSettings, drillTable, type RunSettings, runTable } from './loop/parameters.js';
export type { Setup } from './loop/setup.js';
export { type Own, simulate } from './loop/simulate.js';
export { type StepCost, stepCost } from './loop/step-check.js';
export { type ColumnName, COLUMNS, type Columns, type OpenStretch, type Trace, type TraceEvent } from './loop/trace.js';

export {
  type Entry, formatProblem, type Loaded, loadScenario, loadScenarioOrThrow, type NumericKey, numericKeys, type Problem, type ReadText, referencePage, type Scenario,
  ScenarioError, scenarioSchema, withValues,
} from './scenario/index.js';
export {
  type EventMetrics, type Limits, limitsTable, type Metrics, type Missed, type Scored, scoreSuite, scoreTrace, type Scoring, scoringTable, stepMetrics, type StepMetrics,
} from './score/index.js';
export { type Corner, type DrillPair, type DrillResult, givenIn, setup, type SetupOptions, type SetupResult, type SetupRow, type Tried } from './setup/index.js';
export { type Equilibrium, type EquilibriumOptions, equilibriumOf } from './linear/equilibrium.js';
export { type Balance, type LinearEngine, linearise } from './linear/jacobian.js';
export { type EngineAt, engineAt, enginePoles } from './linear/idle-engine.js';
export { idleLoop, type IdleMargins, idleMargins, idlePoles, type LinearIdle, linearIdleOf } from './linear/idle.js';
export type { BreakName, SampledPlant } from './linear/idle-loops.js';
export { createScatter, roughnessLimit, type Scatter } from './linear/idle-noise.js';
export { imperfections, type LimitCycle, type LimitCycleAnswer, playCycle, stepCycle } from './linear/limit-cycle.js';
export { integratorSparkLimit, type SparkLimit, sparkLimitOf, type StableRate } from './linear/spark-limit.js';
export { AnswerError, type Exercise, judge as judgeAnswer, type Judged, type Lesson, LESSONS, type Ran, readAnswer, rightChoice, runLesson, type Runs, runSide, type Setting, type Side, type Step } from './lessons/index.js';
export { either, type KnobAnswer, type KnobRun, whatDoes } from './setup/why.js';
export { type Axis, cellCount, cellValues, parseAxis, sweep, type SweepOptions, type SweepResult, type SweepRow } from './search/index.js';
export {
  askCmaEs, askNelderMead, type Best, type Box, type CmaSettings, type CmaState, type Cost, createCmaEs, createNelderMead, minimise, minimiseCmaEs, minimiseNelderMead,
  type NelderMeadSettings, type NelderMeadState, tellCmaEs, tellNelderMead,
} from './search/optimise/index.js';
export { createDesignPoints, createSobol, type Design, type Range, readRanges } from './search/sampling/index.js';
export { front, frontOf, type Objective, OBJECTIVES, sensitivity, type SensitivityOptions, type SensitivityResult } from './search/index.js';
export { type MorrisEffect, morrisEffect, morrisIndices } from './search/sensitivity-morris.js';
export { createSobolRuns, type SobolIndices, sobolIndices } from './search/sensitivity-sobol.js';
export { rulesOf, type RulesResult, type RuleTried } from './search/tune/rules.js';
export { tune, type TuneOptions } from './search/tune/tune.js';
export { type RuleStanding, stageOf, type TuneResult, type TuneStage } from './search/tune/result.js';
export type { Judged as JudgedGains, TuneLimits } from './search/tune/referee.js';
export { type Channel, CHANNELS, type ChannelName, type Log, LogError, type LogReport, type Mapping, parseMap, parseMappingFile, readLog, type ReadOptions, resample, type Resampled } from './identify/log/index.js';
export { type Anchor, type EngineFit, fitEngine, type FitOptions, type FitRecording, type Fitted, fittedFrom, type Told, UnusableLog, usable } from './identify/fit/index.js';
export { fitLeastSquares, type LeastSquaresFit, type LeastSquaresOptions, type LeastSquaresProblem } from './identify/fit/least-squares.js';
export { replay, type Replayed } from './identify/replay/replay.js';
export {
  type Cause, CAUSES, diagnose, type Diagnosis, type Finding, limitsFrom, type LoadChannel, type Recording, recordingOfTrace, recordingsOfLog, SYMPTOM_LIMITS, type SymptomLimits,
} from './identify/diagnose/index.js';
export { planFor } from './identify/protocol/index.js';
