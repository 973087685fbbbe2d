import { expect } from 'vitest';

/** Relative closeness, which toBeCloseTo's count of decimals is not; null is never near. */
export function near(found: number | null | undefined, wanted: number, relative = 1e-9): void {
  expect(typeof found, `${found} is no number; ${wanted} was wanted`).toBe('number');
  const error = Math.abs((found as number) - wanted) / (Math.abs(wanted) || 1);
  expect(error, `${found} for ${wanted}`).toBeLessThanOrEqual(relative);
}
