/** The question of a lesson, put to whoever sits at the terminal. */
import { createInterface } from 'node:readline';

export const LETTERS: readonly string[] = ['a', 'b', 'c'];
/** What `ask` returns after Ctrl-C. */
export const INTERRUPTED = Symbol('interrupted');

/**
 * Asks until there is an answer.
 *
 * @param input, output a terminal   @returns the letter; null after an empty line or at the end of the input
 */
export function ask(input: NodeJS.ReadableStream, output: NodeJS.WritableStream): Promise<string | null | typeof INTERRUPTED> {
  const lines = createInterface({ input, output, terminal: true, prompt: 'Your prediction (a, b or c; Enter goes on without): ' });
  return new Promise((resolve) => {
    const end = (answer: string | null | typeof INTERRUPTED): void => {
      process.off('SIGINT', interrupt);
      lines.off('close', ended);
      lines.close();
      resolve(answer);
    };
    const interrupt = (): void => {
      output.write('\n');
      end(INTERRUPTED);
    };
    // Ctrl-D closes without a line
    const ended = (): void => {
      output.write('\n');
      end(null);
    };
    lines.on('SIGINT', interrupt);
    process.on('SIGINT', interrupt);
    lines.on('close', ended);
    lines.on('line', (line) => {
      const letter = line.trim().toLowerCase();
      if (letter === '' || LETTERS.includes(letter)) end(letter === '' ? null : letter);
      else lines.prompt();
    });
    lines.prompt();
  });
}
