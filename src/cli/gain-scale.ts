/** Gains in the numbers of the reader's controller: of the file's `sheet`, or of `--gain-scale`, which has the last word. */
import type { GainScale } from '../report/rules.js';
import type { Scenario } from '../scenario/index.js';
import { readGainScale } from './setup.js';

/** @throws BadInput */
export const gainScaleOf = ({ sheet }: Scenario, text: string | undefined): GainScale => ({ ...sheet.gainScale, ...readGainScale(text) });
