import { readModelFile } from '../agent/model-file.js';
import { readPartClasses } from '../agent/part-classes.js';
import { compareEstimates } from '../checks/model/estimate/compare-estimates.js';
import { comparisonLines } from '../checks/model/estimate/comparison-lines.js';
import { type EstimateKnowledge, estimate } from '../checks/model/estimate/estimate.js';
import { estimateLines } from '../checks/model/estimate/lines.js';
import { tellEstimate } from '../checks/model/estimate/tell-estimate.js';
import type { BoxModel } from '../checks/model/parse.js';
import { type ExitCode, exitCodes } from '../checks/user-error.js';
import { badInput, type CommandLine } from './options.js';

/** What a build model can be expected to reach, or two models side by side; needs no box. */
export async function estimateModel(line: CommandLine): Promise<ExitCode> {
  const [file, other, ...more] = line.words;
  if (file === undefined || more.length > 0) {
    throw badInput('Command estimate expects the name of one model file, or of two to compare');
  }
  const knowledge = { classes: readPartClasses() };
  const lines =
    other === undefined
      ? oneModel(modelOf(file), { knowledge, json: line.json })
      : twoModels([file, other], { knowledge, json: line.json });
  for (const text of lines) console.log(text);
  return exitCodes.done;
}

interface Told {
  readonly knowledge: EstimateKnowledge;
  readonly json: boolean;
}

function modelOf(file: string): BoxModel {
  const model = readModelFile(file);
  if (model === null) throw badInput(`The model file ${file} is not there`);
  return model;
}

function oneModel(model: BoxModel, { knowledge, json }: Told): readonly string[] {
  const told = tellEstimate(model, knowledge);
  const { found, gains, enough } = told;
  return json ? [JSON.stringify({ ...found, gains, enough })] : estimateLines(told);
}

function twoModels(files: readonly [string, string], { knowledge, json }: Told): readonly string[] {
  const [first, second] = [modelOf(files[0]), modelOf(files[1])];
  const estimates = [estimate(first, knowledge), estimate(second, knowledge)] as const;
  const changes = compareEstimates(...estimates);
  if (json) {
    return [JSON.stringify({ first: estimates[0], second: estimates[1], changes })];
  }
  const [one, other] = estimates.map(({ cost }) => cost.currency);
  const names = {
    first: files[0],
    second: files[1],
    currency: one === other ? (one ?? null) : null,
  };
  return comparisonLines(changes, names);
}
