/** Chunks of bytes or text to lines, whatever their encoding and line ends. */
import { LogError } from './problem.js';

export interface TextFacts {
  encoding: 'UTF-8' | 'UTF-16' | 'Windows-1252';
  /** Whether the last line had a line end. */
  ended: boolean;
}

type Decoder = InstanceType<typeof TextDecoder>;

const LOOKED_AT = 4096;

/** Share of the first characters that no text holds. */
function rubbish(text: string): number {
  const head = text.slice(0, LOOKED_AT);
  let odd = 0;
  for (let k = 0; k < head.length; k++) {
    const code = head.charCodeAt(k);
    // below a blank only tab, line ends, form feed and escape are written
    if (code < 9 || (code > 13 && code < 32 && code !== 27)) odd++;
  }
  return head.length === 0 ? 0 : odd / head.length;
}

function decoderFor(bytes: Uint8Array): { decoder: Decoder; encoding: TextFacts['encoding'] } {
  const wide = bytes[0] === 0xff && bytes[1] === 0xfe ? 'utf-16le' : bytes[0] === 0xfe && bytes[1] === 0xff ? 'utf-16be' : null;
  if (wide !== null) return { decoder: new TextDecoder(wide), encoding: 'UTF-16' };
  // the last character of the chunk may be cut in two
  const looked = new TextDecoder('utf-8').decode(bytes, { stream: true });
  if (looked.includes('\ufffd')) return { decoder: new TextDecoder('windows-1252'), encoding: 'Windows-1252' };
  return { decoder: new TextDecoder('utf-8'), encoding: 'UTF-8' };
}

/** No line of a log is longer; a file without line ends is none. */
const LONGEST_LINE = 1_000_000;

/**
 * Batches of lines, without line ends and without a byte-order mark. No more than a chunk and a line are held.
 *
 * @param facts filled on the way
 * @throws LogError for what is no text
 */
export async function* linesOf(chunks: AsyncIterable<string | Uint8Array>, name: string, facts: TextFacts): AsyncGenerator<readonly string[]> {
  let decoder: Decoder | null = null;
  let rest = '';
  let first = true;
  const cut = (text: string): string[] => {
    // a carriage return at the very end may be half of a line end
    const held = text.endsWith('\r') ? '\r' : '';
    const body = held === '' ? text : text.slice(0, -1);
    const lines = body.includes('\r') ? body.split(/\r\n|\n|\r/) : body.split('\n');
    rest = (lines.pop() as string) + held;
    if (rest.length > LONGEST_LINE) throw new LogError([{ file: name, line: 0, column: 0, path: '', message: `a line of more than ${LONGEST_LINE} characters: this is no log` }]);
    return lines;
  };
  for await (const chunk of chunks) {
    let text: string;
    if (typeof chunk === 'string') text = chunk;
    else {
      if (decoder === null) ({ decoder, encoding: facts.encoding } = decoderFor(chunk));
      text = decoder.decode(chunk, { stream: true });
    }
    if (first && text !== '') {
      if (rubbish(text) > 0.01) throw new LogError([{ file: name, line: 0, column: 0, path: '', message: 'is no text: a log as CSV is wanted' }]);
      if (text.startsWith('\ufeff')) text = text.slice(1);
      first = false;
    }
    yield cut(rest + text);
  }
  rest += decoder?.decode() ?? '';
  facts.ended = rest === '' || rest.endsWith('\r');
  const last = rest.replace(/\r$/, '');
  if (last !== '') yield [last];
}
