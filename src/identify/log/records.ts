/** Records of the first lines: a field in quotation marks may hold line ends, as titles in a spreadsheet do. */

export interface LogRecord {
  readonly text: string;
  /** Of its first line, from 0. */
  readonly index: number;
}

/** A field goes on over no more lines than this: a mark that is never closed would swallow the log. */
const MOST_LINES = 20;

/** Whether a field that begins with a quotation mark is still open at the end; a mark within a field is a letter. */
function endsOpen(text: string): boolean {
  let open = false;
  for (let k = 0; k < text.length; k++) {
    if (text[k] !== '"') continue;
    if (open && text[k + 1] === '"') k++;
    else if (open) open = false;
    else if (k === 0 || /[,;\t|]\s*$/.test(text.slice(Math.max(0, k - 8), k))) open = true;
  }
  return open;
}

export function recordsOf(lines: readonly string[]): LogRecord[] {
  const records: LogRecord[] = [];
  for (let index = 0; index < lines.length; index++) {
    let text = lines[index] as string;
    if (text.includes('"') && endsOpen(text)) {
      for (let more = 1; more < MOST_LINES && index + more < lines.length; more++) {
        const joined = lines.slice(index, index + more + 1).join('\n');
        if (endsOpen(joined)) continue;
        records.push({ text: joined, index });
        index += more;
        text = '';
        break;
      }
      if (text === '') continue;
    }
    records.push({ text, index });
  }
  return records;
}
