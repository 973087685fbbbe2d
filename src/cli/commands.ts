/** What the commands are: their words, options and what each does. A command's own file is loaded when it is asked for. */
import { readFileSync } from 'node:fs';
import { Command } from 'commander';
import { count, plainNumber, seedNumber, several } from './option-values.js';
import { sentence, type Terminal } from './terminal.js';

const packageFile = new URL('../../package.json', import.meta.url);
const version = (): string => (JSON.parse(readFileSync(packageFile, 'utf8')) as { version: string }).version;

const SET = ['--set <key=value>', 'put this in place of what the file says; may be given several times', several] as const;
const SVG = ['--svg <file>', 'draw a picture into a file, for a document; - for standard output'] as const;
/** What a command is given; nothing `--set` is an empty list. */
const given = <T extends object>(options: T): T & { readonly set: readonly string[] } => ({ set: [], ...options });

/** Most points of a sample. */
const MOST_POINTS = 1_000_000;

const AFTER_HELP = [
  'Exit code: 0 ran; 1 ran and a limit that the scenario states was missed, a stall included; 2 bad input.',
  'Running engines hurt people: exhaust gas, belts, fans, heat, fuel. Local codes and licensed practice come first.',
];

/** The command line, ready to parse. @param terminal where help and the commands print */
export function commands(terminal: Terminal): Command {
  const program = new Command('tickover')
    .description('Simulates the idle of a spark-ignition engine in closed loop, and works out its settings before anyone touches the car.')
    .version(version(), '--version', 'print the version')
    .helpOption('--help', 'print this')
    .showHelpAfterError('(--help tells what there is)')
    .exitOverride()
    .configureOutput({ getOutHelpWidth: () => terminal.layout.columns, getErrHelpWidth: () => terminal.layout.columns })
    .addHelpText('after', AFTER_HELP.map((text) => `\n${sentence(text, terminal).join('\n')}`).join('\n'));
  const command = (name: string, about: string): Command => program.command(name).description(about).helpOption('--help', 'print this');

  command('run <file>', 'simulate a scenario: charts, events, a verdict')
    .option(...SET)
    .option('--step-check', 'run again with an adaptive integrator and say what the fixed step costs')
    .option('--drill <name>', 'only the drills that have this in their name')
    .option('--brief', 'only one line a drill: whether it passes, and the number that decided')
    .option('--json', 'print one JSON object instead')
    .option('--trace', 'with --json: the whole trace in it, as named columns with units')
    .option('--csv <file>', 'write the trace to a file; - for standard output')
    .option(...SVG)
    .action(async (file: string, options) => {
      process.exitCode = await (await import('./run.js')).run(file, given(options), terminal);
    });
  command('compare <files...>', 'simulate several scenarios: overlaid charts, numbers side by side')
    .option(...SET)
    .option('--json', 'print one JSON object instead')
    .option(...SVG)
    .action(async (files: string[], options) => {
      process.exitCode = await (await import('./compare.js')).compare(files, given(options), terminal);
    });
  command('sweep <files...>', 'simulate a scenario, or several, over a grid of settings: ranking and map')
    .option(...SET)
    .requiredOption('--vary <key=values>', 'a setting and its values: lo:hi:n evenly, lo:hi:n:log in equal ratios, or a,b,c; may be given several times', several)
    .option('--jobs <n>', 'workers; the result is the same for any number', count('--jobs', 256), 1)
    .option('--top <n>', 'rows of the ranking', count('--top', 1000), 10)
    .option('--json', 'print one JSON object instead')
    .option('--csv <file>', 'write every cell to a file')
    .option('--front <a,b>', 'also show the settings that no other betters in both of two metrics, such as settling,stall-margin')
    .option(...SVG)
    .option('--sample <n>', 'so many points in place of a grid, spread evenly over --vary key=lo:hi or key=lo:hi:log', count('--sample', MOST_POINTS))
    .option('--random', 'with --sample: each point at random')
    .option('--seed <n>', 'with --sample: another set of points for each whole number; 1 when not given', seedNumber)
    .option('--out <file>', 'keep every cell in a new file as soon as it is finished')
    .option('--resume <file>', 'go on with such a file, whatever ended the sweep; begins one that is not there')
    .option('--shard <i/n>', 'run the i-th of n equal parts; tickover merge joins their files')
    .action(async (files: string[], options) => {
      process.exitCode = await (await import('./sweep.js')).sweep(files, given(options), terminal, version());
    });
  command('merge <files...>', 'join the shards of a sweep, or show a finished one again: ranking and map')
    .option('--out <file>', 'write the whole sweep to a new file')
    .option('--top <n>', 'rows of the ranking', count('--top', 1000), 10)
    .option('--json', 'print one JSON object instead')
    .option('--csv <file>', 'write every cell to a file')
    .option('--front <a,b>', 'also show the settings that no other betters in both of two metrics, such as settling,stall-margin')
    .option(...SVG)
    .action(async (files: string[], options) => {
      process.exitCode = await (await import('./merge.js')).merge(files, options, terminal);
    });
  command('sensitivity <files...>', 'which settings decide each metric, over ranges: a ranked bar chart a metric')
    .option(...SET)
    .requiredOption('--vary <key=range>', 'a setting and its range: lo:hi, or lo:hi:log for equal ratios; may be given several times', several)
    .option('--method <name>', 'sobol: shares of the variance; morris: effects of steps, cheaper and rougher', 'sobol')
    .option('--samples <n>', 'base points of sobol, keys + 2 runs each, 128 when not given, best a power of two; trajectories of morris, keys + 1 runs each, 20', count('--samples', 200_000))
    .option('--metric <names>', 'score, settling, sag, flare, stall-margin, hunting; several with commas', several)
    .option('--jobs <n>', 'workers; the result is the same for any number', count('--jobs', 256), 1)
    .option('--seed <n>', 'another set of points for each whole number', seedNumber, 1)
    .option('--json', 'print one JSON object instead')
    .option('--csv <file>', 'write the indices to a file')
    .action(async (files: string[], options) => {
      process.exitCode = await (await import('./sensitivity.js')).sensitivity(files, given(options), terminal);
    });
  command('why <file>', 'what one setting does: the drill with it lower, as it is, and higher, told in words')
    .option(...SET)
    .requiredOption('--knob <key>', 'the setting, such as controller.pid.ki')
    .option('--lower <value>', 'the lower value, in its documented unit; half of what it is when not given', plainNumber('--lower'))
    .option('--higher <value>', 'the higher value; twice what it is when not given', plainNumber('--higher'))
    .option('--json', 'print one JSON object instead')
    .action(async (file: string, options) => {
      process.exitCode = await (await import('./why.js')).why(file, given(options), terminal);
    });
  command('margins <file>', 'how far the idle is from hunting: gain, phase and delay margins of each loop, in words too')
    .option(...SET)
    .option('--coolant <temperature>', 'the idle at this coolant temperature, °C; that of the first drill when not given')
    .option('--bode', 'with Bode plots of the loops')
    .option('--nyquist', 'with a Nyquist plot of the whole loop')
    .option(...SVG)
    .option('--spark-limit', 'the largest spark rate instead: what delay allows, and what roughness and authority do')
    .option('--vary <key=values>', 'with --spark-limit: against this setting, as in sweep; may be given several times', several)
    .option('--json', 'print one JSON object instead')
    .action(async (file: string, options) => {
      process.exitCode = await (await import('./margins.js')).margins(file, given(options), terminal);
    });
  command('rules <file>', 'what the published tuning rules make of an idle: fits, gains, margins and drills side by side')
    .option(...SET)
    .option('--gain-scale <kp=…,ki=…,kd=…>', 'what one of our unit is in your controller’s numbers: gains in those too')
    .option('--json', 'print one JSON object instead')
    .action(async (file: string, options) => {
      process.exitCode = await (await import('./rules.js')).rules(file, given(options), terminal);
    });
  command('tune <file>', 'gains of air and spark that do best in the worst case, on engines other than described too, within limits')
    .option(...SET)
    .option('--uncertainty <key=lo:hi>', 'what the engine may be; takes the place of the usual range of that key; several times; none for no uncertainty', several)
    .option('--terms <terms>', 'i, pi or pid; when not given, i on a stepper and pid otherwise')
    .option('--air-only', 'an answer without spark trim')
    .option('--with <keys>', 'further settings of the controller, such as entry.window,openAir.dashpot, or key=lo:hi; several times', several)
    .option('--ms <number>', 'largest sensitivity allowed, the engine as described', plainNumber('--ms'), 1.6)
    .option('--ms-corner <number>', 'largest sensitivity allowed at every corner', plainNumber('--ms-corner'), 2)
    .option('--settling <s>', 'longest settling time allowed in the worst case', plainNumber('--settling'), 3)
    .option('--hunting <rpm>', 'most hunting allowed, peak to peak', plainNumber('--hunting'), 25)
    .option('--budget <s>', 'simulated seconds to spend on the search, about', count('--budget', 100_000_000), 40_000)
    .option('--jobs <n>', 'workers; the result is the same for any number', count('--jobs', 256), 1)
    .option('--seed <n>', 'another search for each whole number', seedNumber, 1)
    .option('--gain-scale <kp=…,ki=…,kd=…>', 'what one of our unit is in your controller’s numbers: gains in those too')
    .option('--out <file>', 'write the controller with these gains as a file, which a scenario takes by from')
    .option('--json', 'print one JSON object instead')
    .action(async (file: string, options) => {
      process.exitCode = await (await import('./tune.js')).tune(file, given(options), terminal);
    });
  command('mixture <file>', 'why not hold the idle with fuel: torque against mixture beside torque against air, and what each load takes')
    .option(...SET)
    .option('--lambda <lo:hi>', 'lambda looked at; 0.7:1.2 when not given')
    .option('--json', 'print one JSON object instead')
    .action(async (file: string, options) => {
      process.exitCode = await (await import('./mixture.js')).mixture(file, given(options), terminal);
    });
  command('setup <file>', 'compute the settings of the whole idle for an engine and its valve, each with its reason and the drill that proves it')
    .option(...SET)
    .option('--out <file>', 'write the settings as a controller file, which a scenario takes by from')
    .option('--sheet <file>', 'write the sheet to type in: out.md or out.html')
    .option('--fahrenheit', 'with --sheet: temperatures in °F')
    .option('--gain-scale <kp=…,ki=…,kd=…>', 'with --sheet: what one of our unit is in your controller’s numbers')
    .option('--json', 'print one JSON object instead')
    .action(async (file: string, options) => {
      process.exitCode = await (await import('./setup.js')).setup(file, given(options), terminal, version());
    });
  command('page <files...>', 'runs, sweeps and a live bench as one HTML page that needs no network: scenarios, and stores of sweeps or what sweep --json printed')
    .option(...SET)
    .requiredOption('-o, --out <file>', 'the page to write; - for standard output')
    .option('--sheet', 'with the sheet of settings computed for the first scenario, as setup does')
    .option('--front <a,b>', 'of a sweep: the two metrics of its front; settling,stall-margin when not given')
    .action(async (files: string[], options) => {
      process.exitCode = await (await import('./page.js')).page(files, given(options), terminal, version());
    });
  command('bench <file>', 'the live bench: turn settings and press loads while the engine runs, in a page in a temporary file; prints its path')
    .option(...SET)
    .option('--open', 'open it with the system’s opener')
    .action(async (file: string, options) => {
      process.exitCode = await (await import('./bench.js')).bench(file, given(options), terminal);
    });
  const logged = (made: Command): Command =>
    made
      .option('--map <channel=column>', 'which column is which channel: speed=Engine RPM [rpm], load:fan=Fan relay; the rest is guessed; may be given several times', several)
      .option('--mapping <file>', 'a file of the same, one channel: column a line')
      .option('--from <s>', 'use the log from this time on', plainNumber('--from'))
      .option('--to <s>', 'and up to this', plainNumber('--to'));
  logged(command('fit <logs...>', 'an engine from logs of the car: values, intervals, what the log cannot tell, and how well it simulates'))
    .option(...SET)
    .requiredOption('--engine <file>', 'where to start: a scenario, or an engine file')
    .option('--valve <file>', 'the valve, beside an engine file')
    .option('--anchor <what>', 'what gives the torques their scale: fuel, or load:NAME for a load whose torque the engine file gives', 'fuel')
    .option('--hold <key>', 'leave this parameter as the file has it, such as engine.inertia; may be given several times', several)
    .option('--held-out <percent>', 'part of the log, at its end, that is not fitted', plainNumber('--held-out'), 25)
    .option('--out <file>', 'write the engine, which a scenario takes by from')
    .option('--valve-out <file>', 'write the valve as fitted')
    .option('--json', 'print one JSON object instead')
    .action(async (files: string[], options) => {
      process.exitCode = await (await import('./fit.js')).fit(files, given(options), terminal);
    });
  logged(command('replay <log>', 'try settings on the drive of a log: its throttle, loads, coolant and vehicle speed, measured beside simulated'))
    .option(...SET)
    .requiredOption('--engine <file>', 'a scenario, or an engine file')
    .option('--valve <file>', 'the valve, beside an engine file')
    .option('--controller <file>', 'the settings to try, beside an engine file')
    .option('--json', 'print one JSON object instead')
    .action(async (file: string, options) => {
      process.exitCode = await (await import('./replay.js')).replay(file, given(options), terminal);
    });
  logged(command('diagnose <file>', 'what is wrong with an idle, from a log of the car or from a scenario’s own runs: evidence, the likely setting, which way to move it'))
    .option(...SET)
    .option('--target <rpm>', 'target speed, where the log has none', plainNumber('--target'))
    .option('--json', 'print one JSON object instead')
    .action(async (file: string, options) => {
      process.exitCode = await (await import('./diagnose.js')).diagnose(file, given(options), terminal);
    });
  command('protocol <file>', 'a safe plan for recording the engine of a scenario: what to do, how large, what to watch, when to break off')
    .option(...SET)
    .option('--out <file>', 'write the plan to a file: out.md')
    .option('--json', 'print one JSON object instead')
    .action(async (file: string, options) => {
      process.exitCode = await (await import('./protocol.js')).protocol(file, given(options), terminal);
    });
  command('lesson [name]', 'lessons: a question, a prediction, the wrong and the right setting, what happened, an exercise; lists them without a name')
    .option('--predict <letter>', 'the answer that you expect: a, b or c; asked for where there is a terminal')
    .option('--answer <file>', 'check your settings for the exercise: runs them and says whether they pass, and why not')
    .option('--page <file>', 'write the lesson as a page instead: out.html')
    .option('--svg <file>', 'draw both runs into a picture instead; - for standard output')
    .action(async (name: string | undefined, options) => {
      process.exitCode = await (await import('./lesson.js')).lesson(name, options, terminal);
    });
  command('check <file>', 'validate a scenario without running it, and print it with every default and where it came from')
    .option(...SET)
    .option('--json', 'print one JSON object instead')
    .action(async (file: string, options) => {
      process.exitCode = await (await import('./check.js')).check(file, given(options), terminal);
    });
  command('schema', 'print the JSON Schema of scenario files, for editors')
    .option('--reference', 'print the page of every key instead: unit, default, range, meaning, source')
    .action(async (options) => {
      process.exitCode = await (await import('./schema.js')).schema(options, terminal);
    });
  return program;
}
