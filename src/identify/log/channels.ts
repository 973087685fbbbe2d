/** What a log can hold: each channel's unit, meaning, plausible values and the generic words for it. */

export interface ChannelKind {
  /** Unit that values are converted to; null: kept as they are. */
  readonly unit: string | null;
  readonly meaning: string;
  /** Held between readings, never interpolated or averaged. */
  readonly switch?: true;
  /** No engine gives values outside (1st to 99th percentile are looked at). Ranges of this table: common practice, no source. */
  readonly possible: readonly [number, number];
  /** Where the middle value of a log that holds an idle can be. */
  readonly usual: readonly [number, number];
  /** Units tried, beside the one in the header, when the values cannot be in it. */
  readonly rivals?: readonly string[];
  /** A middle value above this is rare, and more likely in the unit, which is then named; nothing is changed. */
  readonly rare?: { readonly above: number; readonly unit: string };
  /** Where the highest value often is; tells rivals apart: a manifold sees the open air when the engine stands or the throttle opens. */
  readonly top?: readonly [number, number];
  /** Longest gap that is interpolated over, s. */
  readonly bridgeS: number;
  /** Names that can hardly mean anything else, and names that need the unit or the values to bear them out. */
  readonly words: readonly string[];
  readonly weak?: readonly string[];
  /** Whole names that mean it, though one word of a longer name says nothing. */
  readonly alone?: readonly string[];
  /** Words that make it something else. */
  readonly not?: readonly string[];
}

const OTHER = ['target', 'desired', 'commanded', 'soll', 'max', 'min', 'limit', 'learned', 'trim', 'error', 'correction', 'filtered', 'cible', 'consigne', 'objetivo', 'alvo'];
const PLACES = ['oil', 'catalyst', 'exhaust', 'fuel', 'tank', 'ambient', 'outside', 'transmission', 'gearbox', 'cabin', 'inside', 'ol', 'huile', 'aceite', 'oleo'];

/** Names are matched without accents, case and punctuation: English, German, French, Spanish, Portuguese, and SAE J1930 (ECT, IAT, MAP, MAF, TP, VSS, IAC). */
export const CHANNELS = {
  speed: {
    unit: 'rpm', meaning: 'engine speed', possible: [0, 12_000], usual: [450, 2_500], rivals: ['rad/s', 'Hz', 'krpm'], bridgeS: 2.5,
    words: ['engine speed', 'engine rpm', 'rpm', 'eng speed', 'eng spd', 'engine spd', 'engine revs', 'crank rpm', 'crankshaft rpm', 'crank speed', 'crankshaft speed', 'revs', 'motordrehzahl', 'drehzahl', 'regime moteur', 'regime', 'tours moteur', 'regimen motor', 'regimen', 'revoluciones', 'rpm motor', 'rotacao', 'rotacao do motor', 'rotacoes'],
    weak: ['speed', 'n', 'motor'], not: [...OTHER, 'vehicle', 'road', 'wheel', 'turbine', 'fan', 'idle', 'input', 'output', 'pump'],
  },
  map: {
    unit: 'kPa', meaning: 'manifold absolute pressure', possible: [0, 400], usual: [18, 320], rivals: ['psi', 'bar', 'mbar', 'inHg'], top: [85, 106], rare: { above: 115, unit: 'mmHg' }, bridgeS: 2.5,
    words: ['map', 'manifold absolute pressure', 'intake manifold absolute pressure', 'manifold pressure', 'intake manifold pressure', 'intake pressure', 'inlet pressure', 'intake map', 'manifold abs pressure', 'manifold air pressure', 'manifold vacuum', 'intake vacuum', 'vacuum', 'unterdruck', 'saugrohrunterdruck', 'depression', 'saugrohrdruck', 'ansaugdruck', 'pression admission', 'pression d admission', 'pression collecteur', 'presion de admision', 'presion admision', 'presion colector', 'pressao admissao', 'pressao de admissao', 'pressao do coletor', 'pressao coletor'],
    weak: ['manifold', 'saugrohr', 'pressure', 'druck', 'pression', 'presion', 'pressao'], not: [...OTHER, ...PLACES, 'barometric', 'atmospheric', 'boost', 'temperature', 'temp', 'voltage'],
  },
  air: {
    unit: null, meaning: 'command to the idle air valve', possible: [0, 1_000], usual: [0, 500], bridgeS: 2.5,
    words: ['iac', 'idle air', 'idle air control', 'idle valve', 'idle valve duty', 'idle duty', 'idle steps', 'air valve', 'bypass valve', 'air command', 'leerlaufsteller', 'leerlaufventil', 'leerlaufluft', 'vanne de ralenti', 'vanne ralenti', 'valvula de ralenti', 'valvula ralenti', 'valvula marcha lenta', 'atuador marcha lenta', 'atuador de marcha lenta'],
    weak: ['stepper', 'valve'], alone: ['air'], not: ['speed', 'temperature', 'temp', 'flow', 'purge', 'egr', 'target', 'learned'],
  },
  maf: {
    unit: 'g/s', meaning: 'air mass flow into the engine', possible: [0, 600], usual: [0.3, 150], rivals: ['kg/h'], bridgeS: 2.5,
    words: ['maf', 'mass air flow', 'air mass flow', 'air flow', 'airflow', 'air mass', 'luftmasse', 'luftmassenstrom', 'debit air', 'debit d air', 'flujo de aire', 'caudal de aire', 'fluxo de ar', 'vazao de ar', 'massa de ar'],
    not: [...OTHER, 'voltage', 'temperature', 'temp', 'idle'],
  },
  spark: {
    unit: 'deg', meaning: 'spark advance before top dead centre', possible: [-60, 80], usual: [-30, 60], bridgeS: 2.5,
    words: ['spark', 'spark adv', 'ign adv', 'ign timing', 'ign angle', 'timing adv', 'ignition adv', 'spark advance', 'spark angle', 'ignition advance', 'ignition timing', 'ignition angle', 'timing advance', 'spark timing', 'zundwinkel', 'zuendwinkel', 'zundzeitpunkt', 'avance allumage', 'avance a l allumage', 'avance encendido', 'avance de encendido', 'avanco ignicao', 'avanco de ignicao', 'angulo de ignicao'],
    weak: ['timing', 'advance', 'ignition', 'avance', 'avanco', 'zundung'], not: [...OTHER, 'cam', 'camshaft', 'knock', 'injection', 'switch', 'dwell', 'base'],
  },
  coolant: {
    unit: 'degC', meaning: 'coolant temperature', possible: [-50, 140], usual: [-40, 125], rivals: ['degF', 'K'], bridgeS: 30,
    words: ['ect', 'cts', 'engine coolant', 'eng coolant temp', 'eng temp', 'coolant', 'coolant temperature', 'coolant temp', 'engine coolant temperature', 'engine coolant temp', 'water temperature', 'water temp', 'engine temperature', 'engine temp', 'kuhlmitteltemperatur', 'kuehlmitteltemperatur', 'kuhlmittel', 'kuhlwassertemperatur', 'wassertemperatur', 'motortemperatur', 'temperature eau', 'temperature d eau', 'temperature liquide refroidissement', 'temperature moteur', 'temperatura refrigerante', 'temperatura del refrigerante', 'temperatura agua', 'temperatura motor', 'temperatura del motor', 'temperatura arrefecimento', 'temperatura do motor', 'temperatura da agua'],
    weak: ['temperature', 'temp', 'temperatur', 'temperatura'], not: [...OTHER, ...PLACES, 'intake', 'air', 'aire', 'ar', 'luft', 'level', 'pressure'],
  },
  iat: {
    unit: 'degC', meaning: 'intake air temperature', possible: [-50, 130], usual: [-40, 95], rivals: ['degF', 'K'], bridgeS: 60,
    words: ['iat', 'intake air temperature', 'intake air temp', 'intake temperature', 'intake temp', 'inlet air temperature', 'air temperature', 'air temp', 'ansauglufttemperatur', 'lufttemperatur', 'temperature air', 'temperature air admission', 'temperature d air', 'temperatura aire', 'temperatura aire admision', 'temperatura del aire', 'temperatura ar', 'temperatura do ar', 'temperatura ar admissao'],
    not: [...OTHER, ...PLACES, 'coolant', 'pressure'],
  },
  vss: {
    unit: 'km/h', meaning: 'vehicle speed', possible: [0, 400], usual: [0, 300], bridgeS: 5,
    words: ['vss', 'vehicle speed', 'road speed', 'car speed', 'wheel speed', 'geschwindigkeit', 'fahrgeschwindigkeit', 'fahrzeuggeschwindigkeit', 'vitesse vehicule', 'vitesse', 'velocidad', 'velocidad vehiculo', 'velocidad del vehiculo', 'velocidade', 'velocidade do veiculo'],
    weak: ['speed', 'kmh', 'kph', 'mph'], alone: ['mph', 'kmh', 'kph', 'km h'], not: [...OTHER, 'engine', 'fan', 'crank', 'idle', 'gps', 'limit'],
  },
  throttle: {
    unit: '%', meaning: 'throttle opening', possible: [-5, 120], usual: [0, 100], rivals: ['fraction'], bridgeS: 2.5,
    words: ['throttle', 'tp', 'tps', 'throttle pos', 'absolute throttle position', 'throttle plate', 'throttle position', 'throttle position sensor', 'throttle opening', 'throttle angle', 'drosselklappe', 'drosselklappenstellung', 'drosselklappenwinkel', 'papillon', 'position papillon', 'ouverture papillon', 'mariposa', 'posicion mariposa', 'posicion de la mariposa', 'borboleta', 'posicao borboleta', 'posicao da borboleta'],
    weak: ['accelerator', 'acelerador', 'gaz'], not: [...OTHER, 'pedal', 'voltage', 'relative', 'actuator', 'motor', 'body', 'temperature', 'rate', 'b', 'c', '2'],
  },
  clutch: {
    unit: null, meaning: 'clutch pedal pressed', switch: true, possible: [0, 1], usual: [0, 1], bridgeS: 60,
    words: ['clutch', 'clutch switch', 'clutch pedal', 'clutch pressed', 'kupplung', 'kupplungsschalter', 'kupplungspedal', 'embrayage', 'embrague', 'embreagem'],
    not: ['compressor', 'ac', 'a', 'conditioner', 'conditioning', 'slip', 'temperature', 'pressure'],
  },
  supply: {
    unit: 'V', meaning: 'supply voltage', possible: [0, 20], usual: [8, 16.5], rivals: ['mV'], bridgeS: 5,
    words: ['battery', 'battery voltage', 'supply', 'supply voltage', 'system voltage', 'module voltage', 'control module voltage', 'batteriespannung', 'bordspannung', 'versorgungsspannung', 'tension batterie', 'tension bateria', 'voltaje bateria', 'voltaje de bateria', 'tensao bateria', 'tensao da bateria'],
    weak: ['voltage', 'volts', 'spannung', 'tension', 'voltaje', 'tensao'], not: ['sensor', 'throttle', 'maf', 'map', 'o2', 'oxygen', 'lambda', 'current', 'reference', 'tp', 'pedal'],
  },
  target: {
    unit: 'rpm', meaning: 'target speed of the idle', possible: [0, 12_000], usual: [400, 2_500], rivals: ['rad/s', 'Hz', 'krpm'], bridgeS: 5,
    words: ['target speed', 'target idle', 'target idle speed', 'idle target', 'idle target speed', 'target rpm', 'desired idle', 'desired idle speed', 'desired speed', 'desired rpm', 'idle setpoint', 'solldrehzahl', 'leerlaufsolldrehzahl', 'regime cible', 'consigne ralenti', 'regimen objetivo', 'ralenti objetivo', 'rotacao alvo'],
    not: ['air', 'pressure', 'vehicle', 'cruise'],
  },
} as const satisfies Readonly<Record<string, ChannelKind>>;

export type ChannelKey = keyof typeof CHANNELS;
/** `speed`, or `load:fan`: a load of any name. */
export type ChannelName = ChannelKey | `load:${string}`;

const LOAD: ChannelKind = { unit: null, meaning: 'load', switch: true, possible: [-Infinity, Infinity], usual: [-Infinity, Infinity], bridgeS: 60, words: [] };

/** Loads that are known by their names; any other is named by the user. */
export const LOADS: Readonly<Record<`load:${string}`, ChannelKind>> = {
  'load:air-conditioner': { ...LOAD, meaning: 'air-conditioner compressor', words: ['air conditioner', 'air conditioning', 'a c', 'ac', 'ac clutch', 'a c clutch', 'ac compressor', 'a c compressor', 'compressor', 'klimaanlage', 'klimakompressor', 'climatisation', 'aire acondicionado', 'ar condicionado'], not: ['pressure', 'request', 'temperature'] },
  'load:fan': { ...LOAD, meaning: 'electric fan', words: ['fan', 'cooling fan', 'radiator fan', 'electric fan', 'lufter', 'kuhlerlufter', 'ventilateur', 'ventilador', 'electroventilador'], not: ['speed', 'request'] },
  'load:steering': { ...LOAD, meaning: 'power steering', words: ['power steering', 'steering', 'steering pressure switch', 'servolenkung', 'direction assistee', 'direccion asistida', 'direcao hidraulica'], not: ['angle', 'wheel'] },
};

export const kindOf = (name: ChannelName): ChannelKind => (CHANNELS as Readonly<Record<string, ChannelKind>>)[name] ?? LOADS[name as `load:${string}`] ?? LOAD;

export const TIME_WORDS = ['time', 'timestamp', 'time stamp', 'elapsed', 'elapsed time', 'run time', 'engine run time', 'engine running time', 'time since engine start', 'seconds', 'sec', 'date time', 'zeit', 'zeitstempel', 'uhrzeit', 'temps', 'horodatage', 'heure', 'tiempo', 'hora', 'tempo'];
export const WEAK_TIME_WORDS = ['t', 'ms', 'clock', 's', 'millis', 'milliseconds'];
