/** Ends the output with one plain line, `N passed, N failed`. */
import type { Reporter, TestModule } from 'vitest/node';

export default class ClosingLine implements Reporter {
  onTestRunEnd(modules: readonly TestModule[], errors: readonly unknown[]): void {
    const states = modules.flatMap((module) => [...module.children.allTests()].map((test) => test.result().state));
    // a file that could not be loaded has no tests, and must not pass for that
    const broken = modules.filter((module) => module.errors().length > 0).length + errors.length;
    const count = (state: string): number => states.filter((s) => s === state).length;
    const skipped = count('skipped');
    const line = `${count('passed')} passed, ${count('failed') + broken} failed${skipped > 0 ? `, ${skipped} skipped` : ''}`;
    // after the default reporter's own summary
    process.once('exit', () => process.stdout.write(`${line}\n`));
  }
}
