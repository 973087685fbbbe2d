/**
 * Text in cells of a terminal: how wide it is, cutting, padding, wrapping.
 *
 * Names come from files that anyone may have written, so `clean` takes out whatever could move a cursor or hide in a
 * line. Width follows Unicode Standard Annex 11 (East Asian Width: W and F take two cells) and takes emoji as two.
 */

const ESCAPE = String.fromCharCode(27);
const SEQUENCES = new RegExp(
  `${ESCAPE}(?:\\[[0-?]*[ -/]*[@-~]|\\][^${String.fromCharCode(7)}${ESCAPE}]*(?:${String.fromCharCode(7)}|${ESCAPE}\\\\)?)`,
  'g',
);

/** Ends of the ranges of wide code points (UAX 11, the blocks in use), in pairs. */
const WIDE = [
  0x1100, 0x115f, 0x2329, 0x232a, 0x2e80, 0x303e, 0x3040, 0x3247, 0x3250, 0x4dbf, 0x4e00, 0xa4c6, 0xa960, 0xa97c, 0xac00, 0xd7a3,
  0xf900, 0xfaff, 0xfe10, 0xfe19, 0xfe30, 0xfe6b, 0xff01, 0xff60, 0xffe0, 0xffe6, 0x1b000, 0x1b001, 0x1f200, 0x1f251, 0x20000,
  0x3fffd,
];

function cells(character: string): number {
  const code = character.codePointAt(0) ?? 0;
  if (code < 0x300) return 1;
  if (/\p{M}/u.test(character)) return 0;
  if (/\p{Emoji_Presentation}/u.test(character)) return 2;
  for (let i = 0; i < WIDE.length; i += 2) if (code >= (WIDE[i] as number) && code <= (WIDE[i + 1] as number)) return 2;
  return 1;
}

/** Text without colour codes. */
export const plain = (text: string): string => text.replace(SEQUENCES, '');

/** A name as it may be printed: one line, no control or invisible characters, no colour codes. */
export const clean = (text: string): string =>
  plain(text)
    .normalize('NFC')
    .replace(/[\p{Cc}\p{Zl}\p{Zp}]+/gu, ' ')
    .replace(/[\p{Cf}\p{Cs}\p{Co}\p{Cn}\uFE0E\uFE0F]/gu, '')
    .trim();

/** Cells that a text takes; colour codes take none. */
export function textWidth(text: string): number {
  let width = 0;
  for (const character of plain(text)) width += cells(character);
  return width;
}

/** Cuts plain text to at most `width` cells, the last of them an ellipsis. */
export function cut(text: string, width: number): string {
  if (textWidth(text) <= width) return text;
  if (width < 1) return '';
  let kept = '';
  let used = 0;
  for (const character of text) {
    if (used + cells(character) > width - 1) break;
    kept += character;
    used += cells(character);
  }
  return `${kept.trimEnd()}…`;
}

export const padEnd = (text: string, width: number): string => text + ' '.repeat(Math.max(0, width - textWidth(text)));
export const padStart = (text: string, width: number): string => ' '.repeat(Math.max(0, width - textWidth(text))) + text;

/** Plain text in lines of at most `width` cells, broken at spaces where there are any; later lines are indented. */
export function wrap(text: string, width: number, indent = 0): string[] {
  const lines: string[] = [];
  let line = '';
  const room = (): number => width - (lines.length > 0 ? indent : 0);
  const push = (): void => {
    lines.push(lines.length > 0 ? ' '.repeat(indent) + line : line);
    line = '';
  };
  for (let word of text.split(' ')) {
    if (line !== '' && textWidth(line) + 1 + textWidth(word) > room()) push();
    while (textWidth(word) > room()) {
      let head = '';
      for (const character of word) {
        if (textWidth(head + character) > room()) break;
        head += character;
      }
      if (head === '') break;
      line = head;
      push();
      word = word.slice(head.length);
    }
    line = line === '' ? word : `${line} ${word}`;
  }
  push();
  return lines;
}

/** The first of several wordings that fits, or the last one cut. */
export function firstThatFits(wordings: readonly string[], width: number): string {
  return wordings.find((wording) => textWidth(wording) <= width) ?? cut(wordings.at(-1) ?? '', width);
}

/** Letter that ties an event in a chart to its row in the event table: a … z, A … Z, then aa, ab, … */
export function eventKey(index: number): string {
  const lower = 'abcdefghijklmnopqrstuvwxyz';
  const letters = lower + lower.toUpperCase();
  if (index < letters.length) return letters.charAt(index);
  const rest = index - letters.length;
  return lower.charAt(Math.floor(rest / lower.length) % lower.length) + lower.charAt(rest % lower.length);
}
