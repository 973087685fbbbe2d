/** `--svg` of the commands: a picture for a document. */
import { type Picture, pictureText, stacked } from '../report/svg/picture.js';
import { BadInput } from './failure.js';
import { checkWritable, STANDARD_OUTPUT, writeWhole } from './files.js';

/** Where the picture goes, and what else may go to standard output. */
export interface PictureOptions {
  readonly svg?: string;
  readonly json?: boolean;
  readonly csv?: string;
}

/** Whether the picture is all that goes to standard output. */
export const isPictureAlone = ({ svg }: PictureOptions): boolean => svg === STANDARD_OUTPUT;

/** Refuses early what could not be written, and what is not a picture's to write over. @throws BadInput */
export function checkPicture({ svg, json, csv }: PictureOptions, inputs: readonly string[]): void {
  if (svg === undefined) return;
  if (svg === STANDARD_OUTPUT) {
    if (json === true || csv === STANDARD_OUTPUT) throw new BadInput([`--svg - and ${json === true ? '--json' : '--csv -'} both write to standard output; give --svg the name of a file`]);
    return;
  }
  if (!/\.svg$/i.test(svg)) throw new BadInput([`--svg  ${svg}: a name that ends in .svg is wanted`]);
  checkWritable(svg, inputs);
}

/** Writes pictures into one file, one under the other; what they are made from is not asked for where none is wanted. @throws BadInput */
export function writePicture({ svg }: PictureOptions, pictures: () => readonly Picture[]): void {
  if (svg === undefined) return;
  let text: string;
  try {
    text = pictureText(stacked(pictures()));
  } catch (error) {
    if (error instanceof RangeError) throw new BadInput([`--svg: ${error.message}`]);
    throw error;
  }
  writeWhole(svg, [text]);
}
