/**
 * The seeded trials of the fit, as a table: how near, and how often the intervals hold the truth.
 *
 *     npm run trials:fit -- 200        so many seeds, each without and with roughness; 200 take two hours of one core
 */
import { trial } from './fit-trial.js';

const seeds = Number(process.argv[2] ?? 200);
const first = Number(process.argv[3] ?? 1);
for (const roughness of [0, 5]) {
  const found = new Map<string, { errors: number[]; pinned: number[]; covered: number; counted: number; excited: number }>();
  for (let seed = first; seed < first + seeds; seed++) {
    const { outcomes } = await trial(seed, roughness, { method: 'one step' });
    for (const { key, excited, error, covered, verdict } of outcomes) {
      const row = found.get(key) ?? { errors: [], pinned: [], covered: 0, counted: 0, excited: 0 };
      found.set(key, row);
      row.errors.push(Math.abs(error));
      if (covered !== null) row.counted++;
      if (covered === true) row.covered++;
      if (excited) row.excited++;
      if (verdict === 'pinned') row.pinned.push(Math.abs(error));
    }
  }
  process.stdout.write(`roughness ${roughness} %, ${seeds} seeds\n${'parameter'.padEnd(28)} excited  pinned  of these within 5 %  median  95 % of errors below  interval holds the truth\n`);
  for (const [key, { errors, covered, counted, excited, pinned }] of found) {
    errors.sort((a, b) => a - b);
    const pct = (x: number): string => `${(100 * x).toFixed(1)} %`;
    const at = (share: number): number => errors[Math.min(errors.length - 1, Math.floor(share * errors.length))]!;
    const near = pinned.length === 0 ? 'none' : pct(pinned.filter((e) => e <= 0.05).length / pinned.length);
    process.stdout.write(`${key.padEnd(28)} ${pct(excited / seeds).padStart(7)} ${pct(pinned.length / seeds).padStart(7)} ${near.padStart(19)} ${pct(at(0.5)).padStart(7)} ${pct(at(0.95)).padStart(21)} ${(counted === 0 ? 'held' : pct(covered / counted)).padStart(25)}\n`);
  }
}
