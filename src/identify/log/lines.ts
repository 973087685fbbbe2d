/** Chunks of bytes or text to lines, whatever their encoding and line ends. */
import { foreignKind, wideOrder } from './foreign.js';
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
  const wide = wideOrder(bytes);
  if (wide !== null) return { decoder: new TextDecoder(wide), encoding: 'UTF-16' };
  // the last character of the chunk may be cut in two
  const looked = new TextDecoder('utf-8').decode(bytes, { stream: true });
  if (looked.includes('\ufffd')) return { decoder: new TextDecoder('windows-1252'), encoding: 'Windows-1252' };
  return { decoder: new TextDecoder('utf-8'), encoding: 'UTF-8' };
}

/** No line of a log is longer; a file without line ends is none. */
const LONGEST_LINE = 1_000_000;

/** Lines within a text: line i is `text` from `bounds[2 i]` to before `bounds[2 i + 1]`. Cutting millions out of it takes its time. */
export interface Batch {
  readonly text: string;
  readonly bounds: readonly number[];
}

/** Bounds of the whole lines in a text, from `from`; what is behind the last line end is left. */
function boundsIn(text: string, from: number): { readonly bounds: number[]; readonly until: number } {
  const bounds: number[] = [];
  // ends of old, a carriage return alone, are looked for where there is one at all
  const old = text.includes('\r');
  let at = from;
  for (;;) {
    const end = text.indexOf('\n', at);
    if (old) {
      for (let cr = text.indexOf('\r', at); cr >= 0 && cr < text.length - 1 && (end < 0 || cr < end - 1); cr = text.indexOf('\r', at)) {
        bounds.push(at, cr);
        at = cr + 1;
      }
    }
    if (end < 0) return { bounds, until: at };
    bounds.push(at, end > at && text.charCodeAt(end - 1) === 13 ? end - 1 : end);
    at = end + 1;
  }
}

/**
 * Batches of lines, without line ends and without a byte-order mark. No more than a chunk and a line are held.
 *
 * @param facts filled on the way
 * @throws LogError for what is no text
 */
export async function* linesOf(chunks: AsyncIterable<string | Uint8Array>, name: string, facts: TextFacts): AsyncGenerator<Batch> {
  const fail = (message: string): never => {
    throw new LogError([{ file: name, line: 0, column: 0, path: '', message }]);
  };
  let decoder: Decoder | null = null;
  let rest = '';
  let first = true;
  for await (const chunk of chunks) {
    let text: string;
    if (typeof chunk === 'string') text = chunk;
    else {
      if (decoder === null) {
        const kind = foreignKind(chunk);
        if (kind !== null) fail(kind);
        ({ decoder, encoding: facts.encoding } = decoderFor(chunk));
      }
      text = decoder.decode(chunk, { stream: true });
    }
    if (first && text !== '') {
      if (rubbish(text) > 0.01) fail('is no text: a log as CSV is wanted');
      if (text.startsWith('\ufeff')) text = text.slice(1);
      first = false;
    }
    // the line that the last chunk left open is put together by itself, so that all others lie in one piece of text
    let from = 0;
    if (rest !== '') {
      const end = text.search(/[\r\n]/);
      const to = end < 0 ? text.length : Math.min(text.length, end + 2);
      const { bounds, until } = boundsIn(rest + text.slice(0, to), 0);
      const head = rest + text.slice(0, to);
      if (bounds.length > 0) yield { text: head, bounds };
      rest = head.slice(until);
      from = to;
      if (rest !== '' && bounds.length > 0) {
        // one character of the next line was taken along
        from = to - rest.length;
        rest = '';
      }
    }
    if (rest === '') {
      const { bounds, until } = boundsIn(text, from);
      if (bounds.length > 0) yield { text, bounds };
      rest = text.slice(until);
    }
    if (rest.length > LONGEST_LINE) fail(`a line of more than ${LONGEST_LINE} characters: this is no log`);
  }
  rest += decoder?.decode() ?? '';
  facts.ended = rest === '' || rest.endsWith('\r');
  const last = rest.replace(/\r$/, '');
  if (last !== '') yield { text: last, bounds: [0, last.length] };
}
