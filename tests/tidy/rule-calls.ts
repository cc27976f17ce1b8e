import { importsOf } from './imports.js';
import { type Breach, placesOf, type Rule, type SourceFile, scriptsBelow } from './source-file.js';
import { splitText } from './split-text.js';

interface Ban {
  readonly pattern: RegExp;
  readonly instead: string;
  /** Files that may. */
  readonly except: RegExp;
}

/** The web's entry makes a clock of its own, since it may not import the agent's. */
const timeKeepers =
  /^src\/(agent\/clock\.ts$|agent\/schedule\/(loop|tick)\.ts$|web\/main\.ts$|web\/browser\/)/;
/** A child has no schedule: it shows that it lives by itself. */
const pacers =
  /^src\/(agent\/clock\.ts$|agent\/schedule\/(loop|tick)\.ts$|agent\/workers\/[a-z]+-worker\.ts$|web\/browser\/)/;
const nobody = /^$/;

const bans: readonly Ban[] = [
  { pattern: /\bDate\.now\b/, instead: 'ask a Clock', except: timeKeepers },
  { pattern: /\bnew\s+Date\(\s*\)/, instead: 'ask a Clock', except: timeKeepers },
  { pattern: /\bperformance\.now\b/, instead: 'ask a Clock', except: timeKeepers },
  { pattern: /\bsetInterval\b/, instead: 'add a job to the schedule', except: pacers },
  {
    pattern: /\bMath\.random\b/,
    instead: 'take a source of chance, or crypto.randomBytes in an entry file',
    except: nobody,
  },
  {
    pattern: /\.(blockDevices|diskLayout|disksIO|fsSize|fsStats|diskio)\b/,
    instead: 'read drives through the Box',
    except: nobody,
  },
];

interface ReservedPackage {
  readonly name: RegExp;
  readonly by: RegExp;
  readonly instead: string;
}

const reserved: readonly ReservedPackage[] = [
  {
    name: /^(node:)?child_process$/,
    by: /^src\/(agent\/workers\/supervise|cli\/start)\.ts$/,
    instead: 'start children through agent/workers/supervise',
  },
  { name: /^koffi$/, by: /^src\/agent\/box\/ffi\.ts$/, instead: 'call what agent/box/ffi offers' },
  {
    name: /^systeminformation$/,
    by: /^src\/agent\/box\/machine-facts\.ts$/,
    instead: 'ask the Box for its machine facts',
  },
];

/** What may be asked of the library that can also run programs which read drives. */
const machineQuestions = new Set(['baseboard', 'bios', 'chassis', 'cpu', 'memLayout', 'system']);

/** Calls that are banned, each with its substitute. Chance is banned in tests as well. */
export const bannedCalls: Rule = (files) => [
  ...scriptsBelow('src/', files).flatMap((file) => [
    ...bans.flatMap((ban) => callsOf(file, ban)),
    ...packagesOf(file),
    ...questionsOf(file),
  ]),
  ...scriptsBelow('tests/', files).flatMap((file) =>
    bans.filter(({ pattern }) => pattern.test('Math.random')).flatMap((ban) => callsOf(file, ban)),
  ),
];

function callsOf({ path, text }: SourceFile, ban: Ban): readonly Breach[] {
  if (ban.except.test(path)) {
    return [];
  }
  return placesOf(ban.pattern, splitText(text).code).map(({ match, line }) => ({
    path,
    line,
    text: `${match[0].trim()}: ${ban.instead}`,
  }));
}

function packagesOf(file: SourceFile): readonly Breach[] {
  return importsOf(file).flatMap(({ line, name }) => {
    const held = reserved.find((one) => one.name.test(name) && !one.by.test(file.path));
    return held === undefined ? [] : [{ path: file.path, line, text: `${name}: ${held.instead}` }];
  });
}

function questionsOf({ path, text }: SourceFile): readonly Breach[] {
  return placesOf(/\bsysteminformation\.(\w+)/, splitText(text).code)
    .filter(({ match }) => !machineQuestions.has(match[1] ?? ''))
    .map(({ match, line }) => ({ path, line, text: `${match[0]}: read it from the kernel` }));
}
