/** What is wrong with a log or its mapping, as the problems of scenarios are told. */
import { formatProblem, type Problem } from '../../scenario/index.js';

/** All that is wrong, thrown by `readLog`. */
export class LogError extends Error {
  override readonly name = 'LogError';
  constructor(readonly problems: readonly Problem[]) {
    super(problems.map(formatProblem).join('\n'));
  }
}
