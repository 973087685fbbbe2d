/** Room `lessons`: questions about the idle that two runs answer, told from their traces. */
import { altitude } from './altitude.js';
import { coldOil } from './cold-oil.js';
import { derivative } from './derivative.js';
import { freeRev } from './free-rev.js';
import { fuelCut } from './fuel-cut.js';
import { integral } from './integral.js';
import { lead } from './lead.js';
import type { Lesson } from './lesson.js';
import { mixture } from './mixture.js';
import { overrun } from './overrun.js';
import { sparkInertia } from './spark-inertia.js';
import { stepper } from './stepper.js';
import { spark } from './spark.js';
import { windUp } from './wind-up.js';

export { AnswerError, judge, type Judged, readAnswer, type Setting } from './answer.js';
export { type Choice, type Exercise, type Lesson, type Ran, rightChoice, runLesson, runSide, type Runs, type Side, type Step } from './lesson.js';

/** In the order in which they are best taken. */
export const LESSONS: readonly Lesson[] = [mixture, freeRev, overrun, lead, integral, windUp, derivative, spark, sparkInertia, fuelCut, stepper, coldOil, altitude];
