import { readFileSync, statSync } from 'node:fs';
import { readTrace } from '../checks/trace/read-trace.js';
import { splitTrace } from '../checks/trace/split-trace.js';
import { traceLines } from '../checks/trace/trace-lines.js';
import { type ExitCode, exitCodes } from '../checks/user-error.js';
import { badInput } from './options.js';

const bytesMax = 64 * 1024 * 1024;

/** Splits a recorded copy into its stretches; needs no box, no agent and no privileges. */
export function speedTrace(file: string, json: boolean): ExitCode {
  const { points, assumed } = readTrace(textOf(file), file);
  const parts = splitTrace(points);
  if (json) for (const part of parts) console.log(JSON.stringify(resultOf(part, file)));
  else for (const line of [...traceLines(parts), ...assumed]) console.log(line);
  return parts.length === 0 ? exitCodes.interrupted : exitCodes.done;
}

function textOf(file: string): string {
  const found = statSync(file, { throwIfNoEntry: false });
  if (found === undefined) throw badInput(`The trace ${file} is not there`);
  if (!found.isFile()) throw badInput(`The trace ${file} is no file`);
  if (found.size > bytesMax) {
    throw badInput(`The trace ${file} has ${found.size} bytes, expected at most ${bytesMax}`);
  }
  return readFileSync(file, 'utf8');
}

/** A stretch in the shape of every measured speed, with what else is known of it. */
function resultOf(part: ReturnType<typeof splitTrace>[number], file: string): object {
  return {
    run: 0,
    path: `trace:${file}`,
    direction: 'write',
    streams: 1,
    place: Math.round(part.fromBytes),
    bytesPerSecond: part.bytesPerSecond,
    low: null,
    high: null,
    seconds: part.toSeconds - part.fromSeconds,
    conditions: { temperature: null, otherLoad: null, linkSpeed: null, lanes: null },
    complete: true,
    verdict: 'unknown',
    part: part.kind,
    fromSeconds: part.fromSeconds,
    toSeconds: part.toSeconds,
    bytes: Math.round(part.bytes),
  };
}
