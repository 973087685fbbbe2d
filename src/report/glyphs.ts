/** Line styles told apart by shape first; colour only repeats what the shape says. */
import picocolors from 'picocolors';

export interface LineStyle {
  /** As asciichart takes them: two axis marks, line ends, horizontal, then corners ╰ ╭ ╮ ╯ and vertical. */
  readonly symbols: readonly [string, string, string, string, string, string, string, string, string, string];
  /** Horizontal with a stem down, up, and both ways: an excursion within one column. */
  readonly stems: readonly [string, string, string];
}

const style = (glyphs: string, stems: string): LineStyle => ({
  symbols: [...`┼┤╶╴${glyphs}`] as unknown as LineStyle['symbols'],
  stems: [...stems] as unknown as LineStyle['stems'],
});
const dots = (glyph: string): LineStyle => style(glyph.repeat(6), glyph.repeat(3));

export const LINES = {
  thin: style('─╰╭╮╯│', '┬┴┼'),
  double: style('═╚╔╗╝║', '╦╩╬'),
  heavy: style('━┗┏┓┛┃', '┳┻╋'),
  dashed: style('╌╵╷╷╵╎', '╌╌╌'),
  circles: dots('o'),
  crosses: dots('x'),
  pluses: dots('+'),
  points: dots('·'),
} as const;
export type LineName = keyof typeof LINES;

/** Styles for runs laid over each other, in their order. The dashes are left to the target. */
export const RUN_LINES: readonly LineName[] = ['thin', 'double', 'heavy', 'circles', 'crosses', 'pluses'];

type Paint = (text: string) => string;

/**
 * Hues for lines, by their place. Cyan, yellow, magenta and blue stay apart for the common forms of colour blindness when
 * their lightness differs as it does in terminals; red against green never decides anything.
 */
export function palette(colour: boolean): { readonly line: (place: number) => Paint; readonly bold: Paint; readonly dim: Paint } {
  const colours = picocolors.createColors(colour);
  const hues: readonly Paint[] = [colours.cyan, colours.yellow, colours.magenta, colours.blueBright];
  return { line: (place) => hues[place % hues.length] as Paint, bold: colours.bold, dim: colours.dim };
}
