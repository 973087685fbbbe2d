/** The fit on engines of another kind than the model's: what it foretells of a part that it was not fitted to. */
import { expect, it } from 'vitest';
import { fitEngine } from '../../src/identify/fit/index.js';
import type { Plant } from '../../src/plant/types.js';
import { createForeignEngine } from '../search/foreign-engine.js';
import { csvOf, driven, logOf, planned, planUntil, recordingOf } from './fit-logs.js';

/** A plan whose base and throttle suit a foreign engine; it is fitted from the plan's own engine. */
async function foreign(plant: Plant, base: number, throttle: number): Promise<ReturnType<typeof recordingOf>> {
  const text = planUntil(90).replace('[[0, 22]]', `[[0, ${base}]]`).replace(/opening: ([\d.]+) %/g, (_, x: string) => `opening: ${throttle * Number(x)} %`);
  const log = await logOf(csvOf(driven(await planned([], text), 5, plant), { seed: 5 }));
  return recordingOf(log, await planned());
}

it('foretells a pulsing engine with other laws of friction, spark, charge, plate and valve within 15 rpm at rest and 60 through events', async () => {
  const { base, recording } = await foreign(createForeignEngine({ step: 0.001, roughness: 0.03, seed: 3, valveFlow: 12e-3 }), 17, 3);
  const fit = fitEngine(recording, base, { method: 'free run' });
  expect(fit.fittedPart.steadyRpm).toBeLessThan(15);
  expect(fit.heldOut!.eventsRpm).toBeLessThan(60);
  expect(fit.told.map(({ key }) => key)).toContain('engine.throttle.closedAngle');
}, 240_000);
