/** The command line of the bench. */
import { fileURLToPath } from 'node:url';
import { Command, CommanderError } from 'commander';
import { campaignSchemaText } from '../campaign/schema.ts';
import { SetUpError } from '../links/errors.ts';
import { linkForms } from '../links/node-kinds.ts';
import { RATE_LEAST_HZ, RATE_MOST_HZ } from '../plant/slow.ts';
import { schemaText } from '../scenario/schema.ts';
import { bridge } from './bridge.ts';
import { type BringUpOptions, bringUp } from './bring-up.ts';
import { type CampaignOptions, campaign } from './campaign.ts';
import { commissionText } from './commission.ts';
import { type CompareOptions, compare } from './compare.ts';
import { type ConformOptions, conform } from './conform.ts';
import { controllerForms } from './controller-choice.ts';
import { DEFAULT_RATE_HZ } from './coupling-choice.ts';
import { describeText } from './describe.ts';
import { EXIT_SET_UP } from './exit.ts';
import { type ExportOptions, exportRecording } from './export.ts';
import { inputLines } from './injection-text.ts';
import { type MergeOptions, merge } from './merge.ts';
import { RECORDING_ENDING } from './node-record.ts';
import { DEFAULT_PORT, serve } from './node-serve.ts';
import { reportFrom } from './report.ts';
import type { ReportOptions } from './report-files.ts';
import { type RunOptions, runFiles } from './run.ts';
import { type SampleOptions, sampleSizeText } from './sample-size.ts';
import { type ShrinkArguments, shrinkFile } from './shrink.ts';

const PAGE = fileURLToPath(new URL('../../dist', import.meta.url));

const program = new Command('sim')
  .description('A virtual cordless drill that a motor controller drives through frames.')
  .exitOverride()
  .showHelpAfterError('(--help lists what is allowed)');

program
  .command('run')
  .description('play scenarios and judge their checks')
  .argument('<file...>', 'scenario files (YAML)')
  .option('--controller <which>', `one of ${controllerForms()}; else the one the scenario names`)
  .option('--coupling <how>', 'of a controller behind a link: lock-step (else taken), or rate-split in wall time')
  .option('--rate <Hz>', `Scenes a second in rate-split, ${RATE_LEAST_HZ} to ${RATE_MOST_HZ}; else ${DEFAULT_RATE_HZ}`)
  .option('--json <out>', 'write the result as JSON; several files make { runs: [...] }')
  .option(
    '--record <out>',
    `record all signals (one file only): out${RECORDING_ENDING}, every tick, or out.csv, every millisecond`,
  )
  .option('--record-rate <rate>', "rows a second of --record, e.g. '1kHz' or 'full'")
  .option('--junit <out.xml>', 'write one case a check as JUnit XML, for a build server')
  .option('--html <out.html>', 'write a report to read, print and sign: one file that needs no other')
  .option('--parquet <out.parquet>', 'write a table with one row a check')
  .option('--baseline <result.json>', 'lay the margins of an earlier --json beside those of --html')
  .option('--twin', 'play the same run without its faults too, over a link as well, where it is played first')
  .option('--no-twin', 'leave it out; else each run with faults and a built-in controller has one')
  .addHelpText(
    'after',
    '\nExit codes: 0 passed, 1 a check failed, 2 set-up or input error (nothing is judged), 3 controller lost.' +
      '\nOf several files the worst counts: 2 before 3 before 1.',
  )
  .action(async (files: string[], options: RunOptions) => {
    process.exitCode = await runFiles(files, options);
  });

program
  .command('campaign')
  .description('run a scenario many times, with values that vary, or search for where it fails')
  .argument('<file>', 'campaign file (YAML)')
  .option('--controller <which>', `one of ${controllerForms()}; else the one the files name`)
  .option('--jobs <count>', 'runs at the same time; else one for each core')
  .option('--shard <part>', 'run a part only: 2/8, or env (env/8) inside an array of jobs of a batch system')
  .option('--out <results.jsonl>', 'result file, one line for each run; else named after the campaign, here')
  .option('--fresh', 'begin anew, though there is a result file')
  .option('--json <out>', 'write the summary as JSON')
  .option('--point <number>', 'play one point alone and print its checks')
  .option('--with <place=value...>', "play one run with these values, e.g. 'faults.1.size=3 %'")
  .option('--save <scenario.yaml>', 'of --point or --with: write the scenario instead of playing it')
  .option('--junit <out.xml>', 'write one case a check as JUnit XML, for a build server')
  .option('--html <out.html>', 'write a report to read, print and sign: one file that needs no other')
  .option('--parquet <out.parquet>', 'write a table with one row a check and run')
  .option('--baseline <summary.json>', 'lay the margins of an earlier --json beside those of --html')
  .addHelpText(
    'after',
    '\nA campaign that was stopped or killed goes on with the same line.' +
      '\nParts in an array of jobs: Slurm (SLURM_ARRAY_TASK_ID, _COUNT, _MIN, _STEP) with --shard env; Kubernetes' +
      '\n(JOB_COMPLETION_INDEX) and GNU parallel (PARALLEL_SEQ) with --shard env/8, where 8 is their number.' +
      '\nExit codes: 0 all passed, or a search found what it looks for; 1 a point failed, or a search found less than' +
      '\nis asked for; 2 set-up or input error, or not finished; 3 controller lost.',
  )
  .action(async (file: string, options: CampaignOptions) => {
    process.exitCode = await campaign(file, options);
  });

program
  .command('merge')
  .description('put the parts of a campaign together, byte for byte as if run in one go')
  .argument('<results...>', 'result files of all parts')
  .requiredOption('--campaign <file>', 'campaign file (YAML)')
  .requiredOption('--out <results.jsonl>', 'result file of the whole')
  .option('--fresh', 'replace a file that is there')
  .option('--json <out>', 'write the summary as JSON')
  .action((files: string[], options: MergeOptions) => {
    process.exitCode = merge(files, options);
  });

program
  .command('shrink')
  .description('make the smallest scenario that still fails as this one does')
  .argument('<file>', 'scenario file (YAML) that fails; campaign --point N --save makes one of a point')
  .requiredOption('--out <scenario.yaml>', 'where the smallest goes')
  .option('--check <name>', 'the check that must go on failing; else the first that fails')
  .option('--controller <which>', `one of ${controllerForms()}; else the one the scenario names`)
  .option('--runs <count>', 'most runs; else 300')
  .addHelpText('after', '\nExit codes: 0 written, 2 set-up or input error, or nothing fails.')
  .action(async (file: string, options: ShrinkArguments) => {
    process.exitCode = await shrinkFile(file, options);
  });

program
  .command('sample-size')
  .description('print how many random runs a claim takes, or what a number of runs proves')
  .option('--share <part>', "part of all that passes, at least; else '99 %'")
  .option('--confidence <part>', "else '95 %'")
  .option('--failures <count>', 'runs that may fail; else 0')
  .option('--runs <count>', 'say what this many runs prove')
  .option('--json', 'print JSON')
  .action((options: SampleOptions) => {
    process.stdout.write(sampleSizeText(options));
  });

program
  .command('report')
  .description('make one report from stored results of run and campaign, of any number of builds and machines')
  .argument('<result...>', 'what --json of run or campaign has written')
  .option('--junit <out.xml>', 'write one case a check as JUnit XML, for a build server')
  .option('--html <out.html>', 'write a report to read, print and sign: one file that needs no other')
  .option('--parquet <out.parquet>', 'write a table with one row a check and run')
  .option('--baseline <result.json>', 'lay the margins of an earlier --json beside those of --html')
  .addHelpText('after', '\nExit codes: those of the results: 0 passed, 1 failed, 2 set-up error, 3 controller lost.')
  .action((files: string[], options: ReportOptions) => {
    process.exitCode = reportFrom(files, options);
  });

program
  .command('export')
  .description('say what is in a recording and whether it is whole, or write it for other tools')
  .argument('<recording>', `file of run --record (${RECORDING_ENDING})`)
  .argument('[out...]', 'files to write: .csv, .parquet, .mf4 (ASAM MDF 4); without one, a summary')
  .option('--signals <ids>', 'signals to write, with commas between; else all')
  .option('--from <time>', "first time, e.g. '0.2 s'")
  .option('--to <time>', 'last time')
  .option('--every <n>', 'every n-th row')
  .option('--units <which>', 'of .csv: si (exact) or shown (rpm, °C, %)', 'si')
  .addHelpText(
    'after',
    '\nExit codes: 0 all is whole, 1 a part is missing or damaged (the rest is written), 2 set-up or input error.',
  )
  .action(async (file: string, outs: string[], options: ExportOptions) => {
    process.exitCode = await exportRecording(file, outs, options);
  });

program
  .command('compare')
  .description('play one scenario with two controllers and put their figures side by side')
  .argument('<A>', `one of ${controllerForms()}`)
  .argument('<B>', 'the other one, named alike')
  .argument('<file>', 'scenario file (YAML)')
  .option('--json <out>', 'write table, figures and both results as JSON')
  .option('--plot [out.svg]', 'draw both runs over each other; compare-A-B.svg here when no name is given')
  .addHelpText(
    'after',
    '\nExit codes: 0 both runs are valid, 1 one is not, 2 set-up or input error, 3 a controller was lost.' +
      '\nA comparison judges no check: it counts them.',
  )
  .action(async (a: string, b: string, file: string, options: CompareOptions) => {
    process.exitCode = await compare(a, b, file, options);
  });

program
  .command('conform')
  .description('examine a board over a link, without a motor, and print what to mend')
  .argument('<link>', `where the board is: ${linkForms()}`)
  .option('--pack <voltage>', "link voltage that the board is for, e.g. '36 V'; else 18 V")
  .option('--json <out>', 'write every examination with what was seen as JSON')
  .addHelpText(
    'after',
    '\nTake the power stage off motor and pack before you examine a board.' +
      '\nExit codes: 0 all hold (warnings allowed), 1 something is to be mended, 2 set-up error, 3 board lost.',
  )
  .action(async (link: string, options: ConformOptions) => {
    process.exitCode = await conform(link, options);
  });

program
  .command('bring-up')
  .description('put one thing at a time on the pins of a board and show what it makes of it')
  .argument('<link>', `where the board is: ${linkForms()}`)
  .option('--only <what>', 'the one thing, e.g. ia=10A, angle=30deg, hall=A, direction=in')
  .option('--with <what...>', 'what else stands on the pins meanwhile, e.g. direction=in')
  .option('--all', 'a tour: one thing after the other, with what to look at')
  .option('--for <time>', 'wall time of each step', '1 s')
  .option('--pack <voltage>', "link voltage that the board is for, e.g. '36 V'; else 18 V")
  .addHelpText(
    'after',
    `\nWhat can be put on the pins:\n${inputLines().join('\n')}\n` +
      '\nTake the power stage off motor and pack before you bring a board up.' +
      '\nExit codes: 0 no watch value deviates, 1 one does, 2 set-up or input error, 3 board lost.',
  )
  .action(async (link: string, options: BringUpOptions) => {
    process.exitCode = await bringUp(link, options);
  });

program
  .command('serve')
  .description('serve the built page to this machine')
  .option('--port <number>', 'port on 127.0.0.1', String(DEFAULT_PORT))
  .option('--folder <path>', 'folder of the built page', PAGE)
  .action(async ({ port, folder }: { port: string; folder: string }) => {
    const { server, address } = await serve(folder, portOf(port));
    process.stdout.write(`The page is at ${address}  (Ctrl+C ends)\n`);
    process.once('SIGINT', () => server.close());
    process.once('SIGTERM', () => server.close());
  });

program
  .command('bridge')
  .description('offer a board to the page on this machine')
  .argument('<link>', `one of ${linkForms()}`)
  .option('--port <number>', 'port on 127.0.0.1', String(DEFAULT_PORT))
  .option('--yes', 'let frames pass without a key press: the power stage is disconnected from motor and pack')
  .option('--folder <path>', 'folder of the built page', PAGE)
  .action(async (link: string, { port, folder, yes = false }: { port: string; folder: string; yes?: boolean }) => {
    await bridge(link, { port: portOf(port), folder, yes });
  });

program
  .command('schema')
  .description('print the JSON Schema of a scenario, or of a campaign')
  .argument('[of]', 'scenario or campaign', 'scenario')
  .action((of: string) => {
    const texts: Record<string, () => string> = { scenario: schemaText, campaign: campaignSchemaText };
    if (!Object.hasOwn(texts, of)) throw new SetUpError(`schema ${of}: allowed are ${Object.keys(texts).join(', ')}`);
    process.stdout.write(texts[of]());
  });

program
  .command('describe')
  .description('print what follows from the parameters of a preset, and each parameter with its source')
  .argument('[preset]', 'name of a preset; all are listed without one')
  .option('--json', 'print JSON')
  .action((preset: string | undefined, { json = false }: { json?: boolean }) => {
    process.stdout.write(describeText(preset, json));
  });

program
  .command('commission')
  .description('measure the motor of a preset as a sensorless controller has to know it, by frames alone')
  .argument('<preset>', 'name of a preset; describe lists them')
  .option('--json', 'print JSON')
  .action((preset: string, { json = false }: { json?: boolean }) => {
    process.stdout.write(commissionText(preset, json));
  });

function portOf(text: string): number {
  const port = Number(text);
  if (/^\d+$/.test(text) && port <= 65535) return port;
  throw new SetUpError(`--port ${text}: allowed is a whole number from 0 to 65535 (0 takes any free one)`);
}

// A reader that has seen enough (a pipe into head) ends the text, not the run.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
});

try {
  await program.parseAsync();
} catch (error) {
  if (error instanceof CommanderError) {
    // The usage text is out already; what the command line did not understand is a set-up error.
    process.exitCode = error.exitCode === 0 ? 0 : EXIT_SET_UP;
  } else if (error instanceof SetUpError) {
    process.stderr.write(`${error.message}\n`);
    process.exitCode = EXIT_SET_UP;
  } else {
    throw error;
  }
}
