/** An engine fitted to a log. */
export { type Anchor, anchorsOf, type Anchors } from './anchor.js';
export { type EngineFit, fitEngine, type FitOptions } from './fit-engine.js';
export { fittedFrom } from './from-scenario.js';
export type { Freedom } from './freedom.js';
export type { HeldOut } from './held-out.js';
export { type Fitted, type FittedLoad, type Knob, knobsOf } from './knobs.js';
export type { FitRecording, FitStretch } from './recording.js';
export type { Told, Verdict } from './told.js';
export { periodFor, UnusableLog, usable } from './usable.js';
export { type Log, readLog } from '../log/index.js';
