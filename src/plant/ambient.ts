/**
 * The air outside. SI.
 *
 * Standard atmosphere, troposphere to 11 km (geopotential altitude H):
 *
 *     T = 288.15 − 0.0065·H        p = 101325·(T/288.15)^(g₀/(R·0.0065))
 *
 * Source: ISO 2533:1975 (ICAO Doc 7488), g₀ = 9.80665 m/s², R = 287.05287 J/(kg·K).
 */
import { pow } from '../numerics/elementary.js';
import { si, type Values } from '../parameter/table.js';

export const GAS_CONSTANT = 287.05287;
const GRAVITY = 9.80665;
const LAPSE = 0.0065;
const SEA_LEVEL = { temperature: 288.15, pressure: 101325 };

export const ambientTable = {
  altitude: si({ unit: 'm', default: 0, min: -400, max: 5000, meaning: 'geopotential altitude; gives pressure and temperature where they are not given', source: 'ISO 2533:1975' }),
  pressure: si({ unit: 'kPa', default: null, min: 50, max: 110, meaning: 'ambient pressure; from the altitude when not given' }),
  temperature: si({ unit: 'degC', default: null, min: -40, max: 60, meaning: 'ambient temperature; from the altitude when not given' }),
  gasConstant: si({ unit: 'J/(kg K)', default: GAS_CONSTANT, min: 280, max: 295, meaning: 'specific gas constant of the air', source: 'ISO 2533:1975' }),
} as const;
export type AmbientSettings = Values<typeof ambientTable>;

export interface Ambient {
  readonly pressure: number;
  readonly temperature: number;
  readonly gasConstant: number;
}

/** Pressure (Pa) and temperature (K) of the standard atmosphere. @param altitude geopotential, m, −400 … 11000 */
export function standardAtmosphere(altitude: number): { readonly pressure: number; readonly temperature: number } {
  const temperature = SEA_LEVEL.temperature - LAPSE * altitude;
  const pressure = SEA_LEVEL.pressure * pow(temperature / SEA_LEVEL.temperature, GRAVITY / (GAS_CONSTANT * LAPSE));
  return { pressure, temperature };
}

/** The ambient that the settings describe: what is given wins over the altitude. */
export function ambient(settings: AmbientSettings): Ambient {
  const standard = standardAtmosphere(settings.altitude);
  return {
    pressure: settings.pressure ?? standard.pressure,
    temperature: settings.temperature ?? standard.temperature,
    gasConstant: settings.gasConstant,
  };
}
