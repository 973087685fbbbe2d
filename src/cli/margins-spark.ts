/** The study of `tickover margins --spark-limit`: the largest spark rate against what is varied. */
import { linearIdleOf } from '../linear/idle.js';
import { createScatter, roughnessLimit } from '../linear/idle-noise.js';
import { HIGHEST_RATE, sparkLimitOf } from '../linear/spark-limit.js';
import type { SparkLimitRow, SparkLimitStudy } from '../report/margins-spark.js';
import { formatProblem, type Scenario, withValues } from '../scenario/index.js';
import { type Axis, cellCount, cellValues, readAxes } from '../search/index.js';
import { BadInput } from './failure.js';

/** COV of IMEP of a warm idle where the engine is smooth, %: 5 to 10 is usual, from memory. */
const USUAL_ROUGHNESS = 8;
/** A dip that a trim should still have something left for, rpm: common practice, no source (50 to 150 on a load). */
const DIP_RPM = 100;
const MOST_ROWS = 500;

/** @param coolant K  @throws BadInput when what is varied is not read, or nowhere idles */
export function sparkStudy(scenario: Scenario, vary: readonly string[], coolant: number | undefined): SparkLimitStudy {
  const axes = vary.length === 0 ? [] : axesOf(vary, scenario);
  const count = cellCount(axes);
  if (count > MOST_ROWS) throw new BadInput([`--vary: ${count} engines; at most ${MOST_ROWS} fit a table`]);
  const { roughnessPct } = scenario.engine.model === 'regression' ? { roughnessPct: 0 } : scenario.engine;
  const roughnessAssumed = roughnessPct === 0;
  const study = {
    roughnessPct: roughnessAssumed ? USUAL_ROUGHNESS : roughnessPct,
    roughnessAssumed,
    activityDeg: scenario.limits.sparkActivityDeg ?? scenario.scoring.scales.sparkActivityDeg,
    authorityDeg: scenario.controller.spark.authorityDeg,
    errorRpm: DIP_RPM,
  };
  const rows = Array.from({ length: count }, (_, i) => {
    const values = cellValues(axes, i);
    try {
      return rowOf(withValues(scenario, new Map(axes.map(({ key }, a) => [key, values[a] as number]))), values, study, coolant);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      if (count === 1) throw new BadInput([error.message, 'nothing was worked out']);
      return { values, absent: error.message };
    }
  });
  return { ...study, keys: axes.map(({ key, unit }) => ({ name: key.split('.').at(-1) as string, unit })), rows };
}

function axesOf(vary: readonly string[], scenario: Scenario): readonly Axis[] {
  const { axes, problems } = readAxes(vary, [scenario]);
  if (axes === null) throw new BadInput([...problems.map(formatProblem), 'nothing was worked out']);
  return axes;
}

function rowOf(scenario: Scenario, values: readonly number[], study: Omit<SparkLimitStudy, 'keys' | 'rows'>, coolant: number | undefined): SparkLimitRow {
  const idle = linearIdleOf(scenario, coolant === undefined ? {} : { coolant });
  const { controller } = scenario;
  const limit = sparkLimitOf(idle, controller);
  const most = limit.withAir.rate === null ? null : Math.min(limit.withAir.rate, 2 * HIGHEST_RATE);
  const { authorityDeg } = controller.spark;
  return {
    values,
    limit,
    roughness: most === null ? null : roughnessLimit(createScatter(idle, controller, study.roughnessPct), study.activityDeg, most),
    authority: authorityDeg > 0 ? authorityDeg / study.errorRpm : null,
  };
}
