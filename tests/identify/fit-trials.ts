/**
 * The seeded trials of the fit, as a table: how near, and how often the intervals hold the truth.
 *
 *     npm run trials:fit -- 200        so many seeds, each without and with roughness; 200 take an hour and a half of one core
 */
import { trial } from './fit-trial.js';

const seeds = Number(process.argv[2] ?? 200);
const first = Number(process.argv[3] ?? 1);
for (const roughness of [0, 5]) {
  const found = new Map<string, { errors: number[]; covered: number; counted: number; excited: number; pinned: number }>();
  for (let seed = first; seed < first + seeds; seed++) {
    const { outcomes } = await trial(seed, roughness);
    for (const { key, excited, error, covered, verdict } of outcomes) {
      const row = found.get(key) ?? { errors: [], covered: 0, counted: 0, excited: 0, pinned: 0 };
      found.set(key, row);
      row.errors.push(Math.abs(error));
      if (covered !== null) row.counted++;
      if (covered === true) row.covered++;
      if (excited) row.excited++;
      if (verdict === 'pinned') row.pinned++;
    }
  }
  process.stdout.write(`roughness ${roughness} %, ${seeds} seeds\n${'parameter'.padEnd(28)} excited  pinned  median  95 % of errors below  within 5 %  interval holds the truth\n`);
  for (const [key, { errors, covered, counted, excited, pinned }] of found) {
    errors.sort((a, b) => a - b);
    const pct = (x: number): string => `${(100 * x).toFixed(1)} %`;
    const at = (share: number): number => errors[Math.min(errors.length - 1, Math.floor(share * errors.length))]!;
    const near = errors.filter((e) => e <= 0.05).length / errors.length;
    process.stdout.write(`${key.padEnd(28)} ${pct(excited / seeds).padStart(7)} ${pct(pinned / seeds).padStart(7)} ${pct(at(0.5)).padStart(7)} ${pct(at(0.95)).padStart(21)} ${pct(near).padStart(11)} ${(counted === 0 ? 'held' : pct(covered / counted)).padStart(25)}\n`);
  }
}
