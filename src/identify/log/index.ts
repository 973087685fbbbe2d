/** Recorded logs in: `readLog` gives channels in documented units and says all that it found; `resample` puts them on a grid. */
export { type ChannelKey, type ChannelKind, CHANNELS, type ChannelName, kindOf, LOADS } from './channels.js';
export type { Channel, ChannelReport, Gap, Log, LogReport } from './log.js';
export { type Mapping, type MappingEntry, parseMap, parseMappingFile } from './mapping.js';
export { LogError } from './problem.js';
export { readLog, type ReadOptions } from './read.js';
export { resample, type Resampled, type ResampledColumn, type ResampleOptions, type Stretch } from './resample.js';
