import { describe, expect, test } from 'vitest';
import { planFor } from '../../src/identify/protocol/index.js';
import { protocolPage, protocolSheet } from '../../src/report/protocol-text.js';
import { textWidth } from '../../src/report/index.js';
import { shipped } from '../trade/shipped.js';

describe.each(['solenoid.yaml', 'stepper.yaml', 'three.yaml', 'six.yaml', 'eight.yaml'])('the recording plan of %s', (file) => {
  test('keeps every trial of the open loop clear of the stall, and moves the speed usefully', async () => {
    const plan = planFor(await shipped(file));
    expect(plan.abortBelowRpm).toBeGreaterThan(plan.stallRpm + 50);
    expect(plan.abortBelowRpm).toBeLessThan(plan.targetRpm);
    for (const { name, expects, note } of plan.steps.filter((step) => /^(Steps|Pulses)/.test(step.name))) {
      if (expects === null) {
        expect(note, name).toMatch(/left out/);
        continue;
      }
      expect(expects.lowestRpm, name).toBeGreaterThan(plan.abortBelowRpm);
      expect(expects.highestRpm - expects.lowestRpm, name).toBeGreaterThan(40);
      expect(expects.highestRpm, name).toBeLessThan(plan.targetRpm + 700);
    }
  });
});

test('an engine near its stall gets smaller trials, with a reason', async () => {
  const plan = planFor(await shipped('solenoid.yaml', ['controller.target=[[80, 420]]']));
  expect(plan.steps.some(({ note }) => /made smaller|left out/.test(note ?? ''))).toBe(true);
  for (const { name, expects } of plan.steps.filter((step) => /^(Steps|Pulses)/.test(step.name) && step.expects !== null)) {
    // less than half of the way down to the stall
    expect(expects?.lowestRpm, name).toBeGreaterThan(plan.stallRpm + 0.5 * (plan.targetRpm - plan.stallRpm));
  }
});

test('fits 80 and 120 columns, and the page has the cautions', async () => {
  const plan = planFor(await shipped('solenoid.yaml'));
  for (const columns of [80, 120]) for (const line of protocolPage(plan, { columns, colour: false })) expect(textWidth(line)).toBeLessThanOrEqual(columns);
  expect(JSON.stringify(protocolSheet(plan, 'x'))).toMatch(/Exhaust gas kills/);
});
