/** Drills of the confusion table, made for an engine; `shift` moves every event, so that nothing is learned by its time. */
import type { Healthy } from './engines.js';

const t = (s: number): string => `${s.toFixed(2)} s`;

export const DRILLS = {
  loads: ({ torque }: Healthy, shift = 0): string => `
run: {duration: ${t(44 + shift)}}
drill:
  name: loads
  events:
    - {do: load, at: ${t(5 + shift)}, name: compressor, torque: ${torque} N m, rise: 60 ms}
    - {do: load, at: ${t(13 + shift)}, name: compressor, torque: 0 N m}
    - {do: load, at: ${t(21 + shift)}, name: unknown, torque: ${(torque * 0.5).toFixed(2)} N m, rise: 80 ms}
    - {do: load, at: ${t(32 + shift)}, name: unknown, torque: 0 N m}
`,
  steady: ({ torque }: Healthy, shift = 0): string => `
run: {duration: ${t(34 + shift)}}
drill:
  name: steady
  events: [{do: load, at: ${t(3 + shift)}, name: unknown, torque: ${(torque * 0.3).toFixed(2)} N m, rise: 0.1 s, hold: 0.6 s}]
`,
  long: ({ torque }: Healthy, shift = 0): string => `
run: {duration: ${t(60 + shift)}}
drill:
  name: steady for a minute
  events: [{do: load, at: ${t(3 + shift)}, name: unknown, torque: ${(torque * 0.3).toFixed(2)} N m, rise: 0.1 s, hold: 0.6 s}]
`,
  free: ({ targetRpm }: Healthy, shift = 0): string => `
run: {duration: ${t(29 + shift)}}
drill:
  name: free-revs
  events:
    - {do: throttle, at: ${t(4 + shift)}, name: free-rev, opening: 25 %, until: ${Math.round(targetRpm * 3)} rpm}
    - {do: throttle, at: ${t(16 + shift)}, name: free-rev, opening: 18 %, until: ${Math.round(targetRpm * 2.4)} rpm}
`,
  overrun: (_: Healthy, shift = 0): string => `
run: {duration: ${t(20 + shift)}}
drill:
  name: overrun
  start: {speed: 2000 rpm, gear: 4, clutch: up}
  events: [{do: clutch, at: ${t(7 + shift)}, name: clutch in, pedal: down, time: 0.15 s}]
`,
  rolling: ({ torque }: Healthy, shift = 0): string => `
run: {duration: ${t(22 + shift)}}
drill:
  name: rolling
  start: {clutch: down, gear: 4, vehicleSpeed: 50 km/h}
  events:
    - {do: load, at: ${t(5 + shift)}, name: steering, torque: ${(torque * 0.5).toFixed(2)} N m, rise: 0.1 s, hold: 7 s}
`,
  hot: (_: Healthy, shift = 0): string => `
run: {duration: ${t(28 + shift)}}
drill:
  name: hot start
  start: {engine: off, coolant: 90 degC}
  events: [{do: starter, at: ${t(1 + shift)}, name: start, hold: 6 s}]
`,
  cold: (_: Healthy, shift = 0): string => `
run: {duration: ${t(34 + shift)}}
drill:
  name: cold start
  start: {engine: off, coolant: -10 degC}
  events: [{do: starter, at: ${t(1 + shift)}, name: start, hold: 8 s}]
`,
} as const;
export type DrillName = keyof typeof DRILLS;
