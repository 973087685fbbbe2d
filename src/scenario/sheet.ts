/** How a printed sheet is written: in the numbers and the units of whoever types it in. */
import { choice, group, own, type Values } from '../parameter/table.js';

const scale = (gain: string, unit: string) =>
  ({ unit: '1', default: null, min: 1e-9, max: 1e9, meaning: `what a ${gain} of one ${unit} (or steps likewise) is in the numbers of your controller; written as it is when not given` }) as const;

export const sheetTable = {
  gainScale: group({
    rows: { kp: own(scale('kp', '%/rpm')), ki: own(scale('ki', '%/(rpm·s)')), kd: own(scale('kd', '%·s/rpm')) },
    meaning: 'gains in the numbers of your controller',
  }),
  temperatures: choice({ options: ['degC', 'degF'], default: 'degC', meaning: 'unit of the temperatures on the sheet' }),
} as const;
export type SheetSettings = Values<typeof sheetTable>;
