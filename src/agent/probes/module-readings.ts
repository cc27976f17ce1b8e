import { metricInfo } from '../../checks/metrics.js';
import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import type { Answer, ModuleMemory } from '../box/box.js';
import type {
  Module,
  ModuleFigures,
  ModuleIdentity,
  ModuleLane,
  ModuleLimits,
} from '../box/layouts/module.js';
import { decodeQsfpModule } from '../box/layouts/module-qsfp.js';
import { decodeSfpModule } from '../box/layouts/module-sfp.js';
import { decoded } from './decoded.js';

const place = 'module';

/** What the module in a card's plug is, and what it measures of itself. */
export function moduleReadings(memory: Answer<ModuleMemory>): readonly Reading[] {
  const what = figure({ metric: 'network-module', source: 'Memory of the module' });
  if (!memory.ok) return [absent(what, 'no-figure', memory.absence.text)];
  const module = decodedModule(memory.value);
  if (module === null) {
    const why = `The module’s memory is laid out as number ${memory.value.layout}: meaning not known`;
    return [absent(what, 'no-figure', why)];
  }
  if (!module.ok) return [absent(what, 'no-figure', module.absence.text)];
  const { identity, figures } = module.value;
  const named = measured(what, 1, identityWords(identity));
  if ('why' in figures) return [named, ...withoutFigures(identity, figures.why)];
  return [named, ...figureReadings(figures)];
}

/** Numbers of layouts: Linux include/uapi/linux/ethtool.h. */
function decodedModule({ layout, data }: ModuleMemory): Answer<Module> | null {
  if (layout === 1 || layout === 2) return decoded(() => decodeSfpModule(data));
  if (layout === 3 || layout === 4) return decoded(() => decodeQsfpModule(data));
  return null;
}

/** Two figures that a person looks for, with the reason why they are not there. */
function withoutFigures({ copperCable }: ModuleIdentity, why: string): readonly Reading[] {
  const reason = copperCable ? 'A copper cable: it carries no light' : why;
  return [
    absent(of('optical-power', 'light received'), 'no-figure', reason),
    absent(of('temperature', place), 'no-figure', why),
  ];
}

function identityWords(identity: ModuleIdentity): string {
  const { form, maker, model, revision, serial, standard, connector, madeOn } = identity;
  const nanometres = identity.wavelengthNanometres;
  const parts = [
    standard,
    nanometres === null ? null : `${nanometres} nm`,
    connector === null ? null : `connector ${connector}`,
    serial === '' ? null : `serial ${serial}`,
    madeOn === null ? null : `made ${madeOn}`,
  ].filter((part) => part !== null);
  const name = [maker, model, revision].filter((part) => part !== '').join(' ');
  return [`${form} ${name === '' ? 'of unknown maker' : name}`, ...parts].join(', ');
}

function figureReadings({ celsius, volts, lanes, limits }: ModuleFigures): readonly Reading[] {
  return [
    told(of('temperature', place), celsius),
    told(of('voltage', place), volts),
    ...lanes.flatMap((lane, index) => laneReadings(lane, laneName(lanes.length, index))),
    ...(limits === null ? [] : limitReadings(limits)),
  ];
}

function laneName(lanes: number, index: number): string {
  return lanes === 1 ? '' : `, lane ${index + 1}`;
}

function laneReadings(lane: ModuleLane, name: string): readonly Reading[] {
  const { receivedMicrowatts, sentMicrowatts, laserMilliamperes, signalLost } = lane;
  return [
    told(of('optical-power', `light received${name}`), receivedMicrowatts),
    told(of('optical-power', `light sent${name}`), sentMicrowatts),
    told(of('electric-current', `laser${name}`), laserMilliamperes),
    ...(signalLost === null
      ? []
      : [
          measured(
            of('optical-signal', `light received${name}`),
            signalLost ? 0 : 1,
            words(signalLost),
          ),
        ]),
  ];
}

function words(signalLost: boolean): string {
  return signalLost ? 'too little light comes in' : 'light comes in';
}

/** Where the module itself begins to warn; what it does not tell is left out. */
function limitReadings(limits: ModuleLimits): readonly Reading[] {
  const wanted = [
    ['temperature-limit', place, limits.celsiusHighest],
    ['optical-power-limit', 'light received, lowest', limits.receivedLowest],
    ['optical-power-limit', 'light received, highest', limits.receivedHighest],
    ['optical-power-limit', 'light sent, lowest', limits.sentLowest],
    ['optical-power-limit', 'light sent, highest', limits.sentHighest],
  ] as const;
  return wanted.flatMap(([metric, where, value]) =>
    value === null ? [] : [measured(of(metric, where), value)],
  );
}

function told(about: Figure, value: number | null): Reading {
  const why = 'The module gives no figure there';
  return value === null ? absent(about, 'no-figure', why) : measured(about, value);
}

function of(metric: string, where: string): Figure {
  return figure({ metric, place: where, source: 'Memory of the module' });
}

function figure(about: Omit<Figure, 'unit'>): Figure {
  return { ...about, unit: metricInfo(about.metric).unit };
}
