/**
 * Where a run starts: the engine at rest at its target (or wherever the drill says), the integral holding it there.
 */
import type { Controller, Measured } from '../controller/types.js';
import { findRoot } from '../numerics/root.js';
import type { Plant } from '../plant/types.js';
import type { Setup } from './setup.js';

const RPM = Math.PI / 30;
const ZERO_C = 273.15;

/** What the controller is shown at the start. */
export function firstMeasured(setup: Setup, plant: Plant, loadRequests: readonly boolean[]): Measured {
  const { start } = setup.drill;
  return {
    speedRpm: 0,
    throttlePct: start.throttlePct,
    coolantC: start.coolant - ZERO_C,
    intakeAirC: (start.intakeAir ?? plant.ambientTemperature) - ZERO_C,
    vehicleSpeedKmh: 0,
    supplyV: start.supply,
    clutchPressed: start.clutch === 'down',
    inNeutral: start.gear === 0,
    loadRequests,
    engine: start.engine,
  };
}

/** Puts plant and controller where the drill starts. @returns the starting crank speed, rad/s */
export function startAt(setup: Setup, plant: Plant, controller: Controller, measured: Measured): number {
  const { start } = setup.drill;
  const { inputs } = plant;
  inputs.load = 0;
  inputs.loadPower = 0;
  inputs.loadSquare = 0;
  inputs.electrical = 0;
  inputs.unasked = 0;
  inputs.starter = false;
  inputs.pedal = 0; // the idle before is one with the throttle shut
  inputs.coolant = start.coolant;
  inputs.oil = start.oil ?? start.coolant;
  inputs.supply = start.supply;
  inputs.supplyHeld = false;
  inputs.gear = start.gear;
  inputs.clutch = start.clutch === 'down' ? 1 : 0;

  // one tick on a scratch state tells the target and, at that speed, the spark
  controller.reset();
  const targetRpm = controller.step(measured).targetRpm;
  measured.speedRpm = targetRpm;
  controller.reset();
  const scratch = controller.step(measured);
  inputs.spark = (scratch.sparkDeg * Math.PI) / 180;
  const base = scratch.airFraction;
  controller.reset();

  const target = targetRpm * RPM;
  const full = setup.controller.airFull ?? plant.valve.full;
  const { hold, clamp } = setup.controller;
  const settled = start.settled && start.engine === 'running';
  const air = hold !== null || !settled ? base : Math.min(clamp.highest / full, Math.max(clamp.lowest / full, plant.trimAt(target).air));
  if (settled) controller.seed(air * full, measured);

  const omega = start.engine === 'off' ? 0 : (start.speed ?? (hold === null ? target : speedAtAir(plant, air, target)));
  inputs.pedal = start.throttlePct / 100;
  measured.speedRpm = omega / RPM;
  inputs.air = air;
  plant.reset({ omega, pressure: null, vehicleSpeed: start.vehicleSpeed, engine: start.engine });
  return omega;
}

/** Crank speed, rad/s, at which a valve position holds the engine; the target where none between stall and 4000 rpm does. */
function speedAtAir(plant: Plant, air: number, target: number): number {
  const short = (omega: number): number => plant.trimAt(omega).air - air;
  const [low, high] = [plant.stallSpeed * 1.05, 4000 * RPM];
  return short(low) < 0 && short(high) > 0 ? findRoot(short, low, high, 1e-9, 'held speed') : target;
}
