/** What is wrong with an idle, from a recording of it. */
export { diagnose, type Diagnosis, type IdleStretch } from './diagnose.js';
export { type Cause, CAUSES, type CauseText, type Finding } from './finding.js';
export { periodFor, recordingsOfLog } from './from-log.js';
export { recordingOfTrace } from './from-trace.js';
export { limitsFrom, SYMPTOM_LIMITS, type SymptomLimits } from './limits.js';
export type { LoadChannel, Recording } from './recording.js';
export { unusable } from './usable.js';
