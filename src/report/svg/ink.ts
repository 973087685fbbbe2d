/**
 * Inks of pictures on light and on dark paper, those of the page (a test compares them with its style sheet). Lines are told
 * apart by lightness, dash and the name at their end as well as by hue, so that they stand without colour.
 */

/** Ink of a line by its place. */
export type Tone = 'speed' | 'target' | 'second' | 'third' | 'fourth' | 'fifth';

export const DASHES: Readonly<Record<Tone, readonly number[]>> = { speed: [], target: [7, 4], second: [], third: [2, 3], fourth: [9, 3, 2, 3], fifth: [5, 2] };

/** Tones of lines that lie over each other, by turns; the first is the one that is talked about. */
export const TURNS: readonly Tone[] = ['speed', 'second', 'third', 'fourth', 'fifth'];

export type Ink = Tone | 'paper' | 'ink' | 'faint' | 'rule' | 'edge' | 'bad' | 'closed' | 'open';

export const LIGHT: Readonly<Record<Ink, string>> = {
  paper: '#fcfbf7', ink: '#1b2224', faint: '#525b5d', rule: '#dcd8cb', edge: '#7d8282', bad: '#9b1c1c', closed: '#cfe0e6', open: '#c9c3b2',
  speed: '#0a4a7a', target: '#5c6365', second: '#b2470c', third: '#12694f', fourth: '#7d3468', fifth: '#5a5200',
};

export const DARK: Readonly<Record<Ink, string>> = {
  paper: '#14191a', ink: '#ece9df', faint: '#b0b7b7', rule: '#343c3d', edge: '#8b9494', bad: '#ff9d92', closed: '#1f4351', open: '#4a4d45',
  speed: '#7cc4f4', target: '#b4bbbb', second: '#ff9f68', third: '#63d4a9', fourth: '#e7a3d2', fifth: '#d8cb5c',
};

const TONES: readonly Tone[] = ['speed', 'target', 'second', 'third', 'fourth', 'fifth'];

/** What takes which ink: classes of shapes. */
const rules = (ink: Readonly<Record<Ink, string>>): string =>
  [
    `text{fill:${ink.ink}}.faint{fill:${ink.faint}}.bad{fill:${ink.bad}}.paper{fill:${ink.paper}}`,
    `.grid{stroke:${ink.rule}}.axis,.upright,.bracket,.level{stroke:${ink.faint}}`,
    `.band{fill:${ink.closed}}.closed{fill:${ink.closed}}.hatch{stroke:${ink.open}}.edge{stroke:${ink.edge}}`,
    `.pin{fill:${ink.ink}}.letter{fill:${ink.paper}}.stall{stroke:${ink.bad}}`,
    `.other{fill:${ink.edge}}.point{fill:${ink.speed}}.line{stroke:${ink.speed}}.cell{fill:${ink.speed}}.ring{stroke:${ink.speed}}.cross{stroke:${ink.faint}}.best{stroke:${ink.bad}}`,
    ...TONES.map((tone) => `path.${tone}{stroke:${ink[tone]}}text.${tone}{fill:${ink[tone]}}`),
  ].join('');

const SHAPES = [
  'text{font:13px system-ui,sans-serif}.title{font-size:16px;font-weight:600}.name,.letter{font-weight:600}.letter{font-size:12px}',
  'path,line,polyline{fill:none}.grid,.axis,.edge{stroke-width:1}.upright{stroke-dasharray:2 3}.level{stroke-dasharray:2 4}.bracket{stroke-width:1.5}.hatch{stroke-width:1}.stall,.best{stroke-width:2}.best{fill:none}',
  '.other{opacity:.55}.line{stroke-dasharray:4 3}.cross{stroke-width:1}.ring{stroke-width:1.5}',
  ...TONES.map((tone) => `path.${tone}{stroke-width:1.75;stroke-linejoin:round${DASHES[tone].length === 0 ? '' : `;stroke-dasharray:${DASHES[tone].join(' ')}`}}`),
].join('');

/** The style sheet inside a picture: it follows the reader's light or dark, and lies on its own paper either way. */
export const pictureStyle = (): string => `${SHAPES}${rules(LIGHT)}@media (prefers-color-scheme:dark){${rules(DARK)}}`;
