#!/usr/bin/env node
import { type ExitCode, exitCodes, UserError } from '../checks/user-error.js';
import { badInput, type CommandLine, readCommandLine } from './options.js';

type Command = (line: CommandLine) => Promise<ExitCode>;

/** Each command loads its own code, so that `decode` needs neither a database nor devices. */
const commands: Readonly<Record<string, () => Promise<Command>>> = {
  start: async () => (await import('./start.js')).start,
  scan: async () => (await import('./scan-this-box.js')).scanThisBox,
  estimate: async () => (await import('./estimate.js')).estimateModel,
  status: async () => (await import('./status.js')).status,
  speed: async () => (await import('./speed.js')).speed,
  'burn-in': async () => (await import('./burn-in.js')).burnIn,
  capture: async () => (await import('./capture.js')).capture,
  records: async () => (await import('./records.js')).records,
  decode: async () => (await import('./decode-file.js')).decodeFile,
};

const help = `bayward proves second-hand parts, shows what limits a storage box, and watches it.

  bayward start                    run the agent and the page (--only agent, --only web)
  bayward scan                     list what is in this box; writes a first model file
  bayward estimate FILE [FILE]     what a build model can reach, hold, survive, draw and cost; two files: compared
  bayward status                   every part once, in plain words
  bayward status PART              every figure of one part, with its growth and source
  bayward speed drive SERIAL       measure a drive at 16 places, reading only (or: all)
  bayward speed drives             all drives alone and together: what holds them back
  bayward speed trace FILE.csv     split a recorded copy (seconds,bytes) into its parts
  bayward burn-in plan DRIVE       what a burn-in of this drive would do and refuse
  bayward burn-in start DRIVE      read every sector; with --erase also write and verify
  bayward burn-in list             runs so far; also: pause RUN, resume RUN, stop RUN, show RUN
  bayward capture SERIAL           raw records of one drive (--file FILE)
  bayward decode FILE              a captured file back to readings, on any machine
  bayward decode --bytes FIGURE FILE   the bytes that a figure comes from, marked
  bayward records                  what is read from drives, and on whose word

Options of every command: --config FILE --store FILE --socket FILE --port N --json
Exit codes: 0 done, 1 something is below expected, 2 bad input, 3 not enough privilege,
4 refused for safety, 5 interrupted or partial`;

async function run(argv: readonly string[]): Promise<ExitCode> {
  const line = readCommandLine(argv);
  if (line.help || line.command === 'help') {
    console.log(help);
    return exitCodes.done;
  }
  const load = commands[line.command];
  if (load === undefined || !Object.hasOwn(commands, line.command)) {
    throw badInput(
      `There is no command "${line.command}"`,
      `Commands are ${Object.keys(commands).join(', ')}; see bayward --help`,
    );
  }
  const command = await load();
  return command(line);
}

function report(error: unknown): ExitCode {
  if (error instanceof UserError) {
    console.error(`${error.message}.`);
    if (error.hint !== undefined) console.error(`Hint: ${error.hint}.`);
    return error.exitCode;
  }
  console.error(error instanceof Error ? (error.stack ?? error.message) : String(error));
  return exitCodes.interrupted;
}

// A reader that goes away (a pipe into `head`) is no error of ours.
process.stdout.on('error', () => process.exit(exitCodes.done));
process.exitCode = await run(process.argv.slice(2)).catch(report);
