/** Entry window, hysteresis and forced entry, from how the speed comes back after a free-rev and from the overrun. */
import { OPEN } from '../controller/entry.js';
import type { ControllerSettings } from '../controller/parameters.js';
import { interpolate } from '../numerics/curve.js';
import { clip, say, upTo, withController } from './apply.js';
import { type Bench, createBench } from './bench.js';
import { isOdd, type SetupDrill } from './drills.js';
import { coolantOf } from './loads.js';
import type { Runner } from './prove.js';
import type { SetupRow } from './result.js';

/** Windows tried, rpm, smallest first. */
const WINDOWS = [50, 75, 100, 125, 150, 200, 250, 300, 400];
/** Sag more than with the loop open that nobody would notice, rpm. */
const SAME_RPM = 5;
/** Hysteresis at least, rpm; and by how much the loop stays closed above the largest flare. */
const LEAST_HYSTERESIS_RPM = 50;
const ABOVE_FLARE = 1.2;
/** Forced entry waits so much longer than the longest honest run-down. */
const PATIENCE = 1.5;
const LEAST_FORCED_S = 2;

export interface EntryFound {
  readonly entry: ControllerSettings['entry'];
  readonly rows: readonly SetupRow[];
}

/** @param drills with every other setting in place */
export function entryFor(drills: readonly SetupDrill[], bench: Bench, runner: Runner): EntryFound {
  const { entry: given } = drills[0]!.scenario.controller;
  const revs = drills.filter(({ kind }) => kind === 'free-rev' || kind === 'overrun');
  const names = revs.map(({ scenario }) => scenario.drill.name).join('; ');
  const { full } = bench.range;

  const open = revs.map(({ scenario }) => {
    const coolantC = coolantOf(scenario);
    // a drill may have an engine of its own: at another height, say
    const air = clip(createBench(scenario).airAt(coolantC, interpolate(scenario.controller.targetRpm, coolantC)), 0, full);
    return runner.run(withController(scenario, { hold: air })).result.scored;
  });
  const openSag = open.map(({ metrics, stalled }) => (stalled ? Number.POSITIVE_INFINITY : (metrics.sagRpm ?? 0)));
  const told = (sag: number): string => (sag === Number.POSITIVE_INFINITY ? 'stalls' : sag.toFixed(0));
  const sagWith = (windowRpm: number): readonly { readonly sag: number; readonly passes: boolean }[] =>
    revs.map(({ scenario }) => {
      const { result } = runner.run(withController(scenario, { entry: { ...given, windowRpm, forcedAfterS: null } }));
      return { sag: result.scored.metrics.sagRpm ?? 0, passes: result.passes };
    });
  const tried = WINDOWS.map((windowRpm) => ({ windowRpm, runs: sagWith(windowRpm) }));
  const excess = ({ runs }: (typeof tried)[number]): number => Math.max(...runs.map(({ sag }, i) => sag - openSag[i]!), Number.NEGATIVE_INFINITY);
  const passing = tried.filter(({ runs }) => runs.every(({ passes }) => passes));
  const good = passing.find((each) => excess(each) <= SAME_RPM);
  const chosen = good ?? passing.reduce<(typeof tried)[number] | null>((a, b) => (a === null || excess(b) < excess(a) - 1 ? b : a), null);
  const windowRpm = chosen?.windowRpm ?? 150;

  // the loop must stay closed through what a load flares as it leaves, and through the rebound after a run-down
  const flare = Math.max(
    0,
    ...drills
      .filter((drill) => drill.kind !== 'start' && drill.kind !== 'steady' && !isOdd(drill))
      .map(({ scenario }) => runner.run(withController(scenario, { entry: { ...given, windowRpm, hysteresisRpm: 1000, forcedAfterS: null } })).result.scored.metrics.flareRpm ?? 0),
  );
  const hysteresisRpm = Math.min(3000, Math.max(LEAST_HYSTERESIS_RPM, upTo(ABOVE_FLARE * flare - windowRpm, 25)));

  // an honest run-down: others hold, the speed is above the window, and comes down by itself
  const waits = revs
    .map(({ scenario }) => {
      const { trace } = runner.run(withController(scenario, { entry: { ...given, windowRpm, hysteresisRpm, forcedAfterS: null } }));
      const stretches = trace.open.filter(({ because }) => because === OPEN.window);
      return {
        name: scenario.drill.name,
        longestS: Math.max(0, ...stretches.map(({ fromS, toS }) => toS - fromS)),
        hangs: stretches.some(({ toS }) => toS >= trace.end.atS - 1e-6) && !trace.stalled,
      };
    });
  const longest = waits.filter(({ hangs }) => !hangs).reduce((a, b) => (b.longestS > a.longestS ? b : a), { name: '', longestS: 0, hangs: false });
  const hanging = waits.filter(({ hangs }) => hangs);
  const forcedAfterS = clip(Math.max(LEAST_FORCED_S, upTo(PATIENCE * longest.longestS, 0.5)), 0.1, 120);

  const none = revs.length === 0 ? 'no drill revs the engine or coasts' : null;
  const entry = { ...given, windowRpm, hysteresisRpm, forcedAfterS };
  return {
    entry,
    rows: [
      {
        key: 'controller.entry.window', text: say(windowRpm), unit: 'rpm',
        why: none ?? (good === undefined
          ? `the window that adds least to the sag on the way down with the loop held open (by ${chosen === null ? 'too much' : `${excess(chosen).toFixed(0)} rpm`})`
          : `the smallest with which a free-rev and the overrun end without help, and no deeper than with the loop held open (${openSag.map((sag) => (sag === Number.POSITIVE_INFINITY ? 'a stall' : `${told(sag)} rpm`)).join(', ')})`),
        brief: good === undefined ? 'adds least to the sag on the way down' : 'smallest that sags no deeper than open',
        provenBy: names,
        flag: none ?? (chosen === null ? 'with no window tried do a free-rev and the overrun pass' : null),
        tried: none !== null ? null : {
          heads: ['window, rpm', ...revs.map(({ scenario }) => `sag, rpm: ${scenario.drill.name}`), 'passes'],
          rows: [
            ['loop open', ...openSag.map(told), ''],
            ...tried.map(({ windowRpm: w, runs }) => [say(w), ...runs.map(({ sag }) => sag.toFixed(0)), runs.every(({ passes }) => passes) ? 'yes' : 'no']),
          ],
        },
      },
      {
        key: 'controller.entry.hysteresis', text: say(hysteresisRpm), unit: 'rpm',
        why: `keeps the loop closed through the largest flare, of a load that leaves or after a run-down, ${flare.toFixed(0)} rpm`,
        brief: `outlasts the largest flare, ${flare.toFixed(0)} rpm`,
        provenBy: 'loads on and off; free-rev; overrun', flag: null, tried: null,
      },
      {
        key: 'controller.entry.forcedAfter', text: say(forcedAfterS), unit: 's',
        why: longest.longestS > 0
          ? `half as long again as the longest run-down that comes back by itself, ${longest.longestS.toFixed(1)} s in ${longest.name}`
          : `no run-down of the drills waits for the window; ${LEAST_FORCED_S} s is the least`,
        brief: longest.longestS > 0 ? `1.5 × the longest run-down, ${longest.longestS.toFixed(1)} s` : 'no run-down waits; the least',
        provenBy: longest.name === '' ? names : longest.name,
        flag: hanging.length === 0 ? null : `the speed stays above the window by itself in ${hanging.map(({ name }) => name).join('; ')}: something lets in more air than the base`,
        tried: null,
      },
    ],
  };
}
