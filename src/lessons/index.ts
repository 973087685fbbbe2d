/** Room `lessons`: questions about the idle that two runs answer, told from their traces. */
import { altitude } from './altitude.js';
import { derivative } from './derivative.js';
import { freeRev } from './free-rev.js';
import { fuelCut } from './fuel-cut.js';
import { integral } from './integral.js';
import { lead } from './lead.js';
import type { Lesson } from './lesson.js';
import { overrun } from './overrun.js';
import { sparkInertia } from './spark-inertia.js';
import { stepper } from './stepper.js';
import { spark } from './spark.js';

export { AnswerError, judge, readAnswer, type Setting } from './answer.js';
export { type Choice, type Exercise, type Lesson, type Ran, rightChoice, runLesson, runSide, type Runs, type Side, type Step } from './lesson.js';

/** In the order in which they are best taken. */
export const LESSONS: readonly Lesson[] = [freeRev, overrun, lead, integral, derivative, spark, sparkInertia, fuelCut, stepper, altitude];
