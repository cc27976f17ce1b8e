import { type Places, resolvePlaces } from '../agent/places.js';
import type { CommandLine } from './options.js';

/** The places that a command line means for the person who typed it. */
export function placesOf(line: CommandLine): Places {
  return resolvePlaces(line, { isRoot: process.geteuid?.() === 0, environment: process.env });
}
