/** Everything that a run needs, resolved. */
import type { ControllerSettings } from '../controller/parameters.js';
import type { ModelSettings } from '../plant/models.js';
import type { ValveSettings } from '../plant/valves/index.js';
import type { DrillSettings, RunSettings } from './parameters.js';

export interface Setup {
  readonly engine: ModelSettings;
  readonly valve: ValveSettings;
  readonly controller: ControllerSettings;
  readonly drill: DrillSettings;
  readonly run: RunSettings;
}
