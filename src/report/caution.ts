/** What every printed sheet says before anyone follows it. Common practice in workshops, no source. */

const CAUTIONS: readonly string[] = [
  'These numbers come from a simulation: try them with someone ready to switch off, and trust the engine over the sheet.',
  'Exhaust gas kills indoors: run the engine outside or with extraction.',
  'Wheels chocked, parking brake on, gear in neutral or park, and someone in the driving seat while the engine runs.',
  'Keep hands, hair and clothing clear of belts and fans; an electric fan can start with the engine off.',
  'Exhaust, coolant and catalyst are hot enough to burn; never open a hot cooling system.',
  'Fuel: no leaks, no flames, an extinguisher within reach.',
  'Changed idle settings can break emissions law; check what applies where the car is used.',
  'Local codes and licensed practice come first, before anything printed here.',
];

/** The cautions for a printed sheet, one sentence or two each, in the order they are printed. */
export const cautions = (): readonly string[] => CAUTIONS;

const WHENCE = {
  run: 'Simulated, not measured.',
  recording: 'Read from a recording.',
  both: 'Simulated beside a recording.',
} as const;

/**
 * The one line that goes under a verdict, by what the verdict is of: a run of our own, a recording of an engine, or a run beside
 * a recording.
 */
export const cautionLine = (of: 'run' | 'recording' | 'both' = 'run'): string => `${WHENCE[of]} Outdoors or extracted, wheels chocked, brake on.`;
