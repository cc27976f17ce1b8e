/**
 * What the states of a sensor mean, by the sensor's type, and those that every type shares (IPMI
 * 2.0, list of sensor types and of general events, from memory). Words are ours; a state that does
 * not matter to a storage box has none, and is shown by its number.
 */

type States = Readonly<Record<number, string>>;

/** Event type of sensors whose states are those of their own type. */
const ownStates = 0x6f;

const byType: Readonly<Record<number, States>> = {
  5: { 0: 'the case is open' },
  7: {
    0: 'the processor met an internal error',
    1: 'the processor switched off because it was too hot',
    2: 'the processor failed its own test',
    3: 'the processor hung while starting',
    4: 'the processor hung while starting',
    5: 'the processor is set up wrongly',
    6: 'the processor met an error beyond correction',
    7: 'the processor is present',
    8: 'the processor is switched off by the board',
    10: 'the processor was slowed down by itself',
    11: 'the processor reported an error beyond correction',
    12: 'the processor reported a corrected error',
  },
  8: {
    0: 'a supply is present',
    1: 'the supply failed',
    2: 'the supply says that it will fail',
    3: 'the supply’s input is gone',
    4: 'the supply’s input is gone or out of range',
    5: 'the supply’s input is out of range',
    6: 'the supplies do not fit together',
    7: 'the supply stands by',
  },
  9: {
    0: 'the box is switched off',
    1: 'the box was switched off and on',
    4: 'the input power was lost',
    5: 'the box did not switch as it was told',
    6: 'the power of the board failed',
    7: 'the power of the board says that it will fail',
  },
  12: {
    0: 'a memory error was corrected',
    1: 'a memory error could not be corrected',
    2: 'memory parity was wrong',
    3: 'the search for memory errors failed',
    4: 'a memory module is switched off',
    5: 'so many memory errors were corrected that they are no longer counted',
    6: 'a memory module is present',
    7: 'the memory is set up wrongly',
    8: 'a spare memory module is in use',
    9: 'the memory was slowed down by itself',
    10: 'the memory is far too hot',
  },
  13: {
    0: 'a drive is present',
    1: 'the drive failed, says its bay',
    2: 'the drive may fail, says its bay',
    5: 'its array has no redundancy left',
    6: 'its array failed',
    7: 'its array rebuilds',
    8: 'the rebuild of its array broke off',
  },
  16: {
    0: 'corrected memory errors are no longer logged',
    1: 'a kind of event is no longer logged',
    2: 'the log was cleared',
    3: 'nothing is logged any more',
    4: 'the log is full',
    5: 'the log is nearly full',
    6: 'corrected processor errors are no longer logged',
  },
  19: {
    0: 'the button for an emergency interrupt was pressed',
    4: 'a PCI parity error',
    5: 'a PCI system error',
    7: 'a corrected error on a bus',
    8: 'an error on a bus beyond correction',
    10: 'an error that stopped a bus',
    11: 'a bus runs with less than it could',
  },
  35: {
    0: 'the watchdog ran out and did nothing',
    1: 'the watchdog reset the box',
    2: 'the watchdog switched the box off',
    3: 'the watchdog switched the box off and on',
    8: 'the watchdog ran out and called for help',
  },
};

const general: Readonly<Record<number, States>> = {
  3: { 0: 'not asserted', 1: 'asserted' },
  4: { 0: 'no failure foretold', 1: 'a failure is foretold' },
  5: { 0: 'limit not passed', 1: 'limit passed' },
  6: { 0: 'works as it should', 1: 'works worse than it should' },
  7: {
    0: 'in order',
    1: 'no longer in order',
    2: 'critical',
    3: 'past what can be put right',
    4: 'less bad than before',
    5: 'critical, and less bad than before',
    6: 'past what can be put right',
  },
  8: { 0: 'absent', 1: 'present' },
  9: { 0: 'switched off', 1: 'switched on' },
  11: {
    0: 'all are there',
    1: 'one is missing, none may fail',
    2: 'fewer are there than should be',
    3: 'none may fail, enough are left',
    4: 'none may fail, enough are there',
    5: 'too few are left',
    6: 'fewer are there than should be',
    7: 'fewer are there than should be',
  },
};

interface StateKind {
  readonly sensorType: number;
  readonly eventType: number;
}

/** Words of one state, or null where it has none. */
export function wordOfState({ sensorType, eventType }: StateKind, state: number): string | null {
  const states = eventType === ownStates ? byType[sensorType] : general[eventType];
  return states?.[state] ?? null;
}

const statesMax = 15;

/** All states that hold, in words; those without words by their numbers. */
export function stateWords(kind: StateKind, states: number): string {
  const held = Array.from({ length: statesMax }, (_, state) => state).filter(
    (state) => ((states >> state) & 1) === 1,
  );
  if (held.length === 0) return 'none of its states holds';
  return held
    .map((state) => wordOfState(kind, state) ?? `state ${state}, meaning not known`)
    .join('; ');
}
